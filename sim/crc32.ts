/** CRC-32/ISO-HDLC by table: what the simulated board offers in place of a real board's built-in one. Knows no Node. */

const TABLE: number[] = []
for (let byte = 0; byte < 256; byte++) {
  let remainder = byte
  for (let bit = 0; bit < 8; bit++) remainder = remainder & 1 ? (remainder >>> 1) ^ 0xedb88320 : remainder >>> 1
  TABLE.push(remainder >>> 0)
}

/** Of all bytes; "123456789" gives 0xCBF43926 (G. Cook, catalogue of parametrised CRC algorithms). */
export function crc32(data: Uint8Array): number {
  let crc = 0xffffffff
  for (let i = 0; i < data.length; i++) crc = (TABLE[(crc ^ data[i]) & 0xff] as number) ^ (crc >>> 8)
  return (crc ^ 0xffffffff) >>> 0
}
