/** The work of `ports`: which serial ports this machine has, and which of them may be a base. */
import { listPorts, type Port } from './ports.ts'

type Say = (line: string) => void

/** Prints the ports; `out` and `words` get one line at a time, without its end. Gives the exit code. */
export async function portsCommand(json: boolean, out: Say, words: Say): Promise<number> {
  const ports = await listPorts()
  if (json) {
    out(JSON.stringify({ ports }, null, 2))
    return 0
  }
  for (const line of portLines(ports)) out(line)
  words(advice(ports))
  return 0
}

/** Ports for people, one a line. */
export function portLines(ports: Port[]): string[] {
  const width = Math.max(0, ...ports.map(port => port.path.length))
  return ports.map(port => {
    const ids = port.vendorId === undefined ? '' : `${port.vendorId}:${port.productId ?? '????'}`
    const serial = port.serialNumber === undefined ? '' : `serial number ${port.serialNumber}`
    const names = [port.maker, port.product].filter(one => one !== undefined).join(' ')
    const known = [names, ids, serial].filter(one => one !== '').join(', ')
    return `${port.path.padEnd(width)}  ${port.what}${known === '' ? '' : ` (${known})`}`
  })
}

function advice(ports: Port[]): string {
  const likely = ports.filter(port => port.likelyBoard)
  if (likely.length === 0) {
    return 'None looks like a board. Plug the base in with a cable that carries data; many only charge.'
  }
  const first = likely[0] as Port
  return likely.length === 1
    ? `One may be the base: --port ${first.path}`
    : `${likely.length} may be the base; pull the cable and run this again to see which one goes.`
}
