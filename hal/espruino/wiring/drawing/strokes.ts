/**
 * The drawing's strokes: wires, symbols and boxes as SVG text. Wires differ in colour and in their dashes, so that a
 * print in grey and an eye that sees fewer colours tell them apart; the colours are Okabe and Ito's.
 */

export type WireKind = 'pack' | 'logic' | 'ground' | 'analog' | 'pulses' | 'watched' | 'bus'

interface WireStyle {
  colour: string
  dashes: string
  width: number
  words: string
}

export const WIRES: { [kind in WireKind]: WireStyle } = {
  pack: { colour: '#D55E00', dashes: '', width: 4, words: 'pack, up to 8.4 V' },
  logic: { colour: '#B57A00', dashes: '', width: 2.2, words: '5 V and 3.3 V' },
  ground: { colour: '#000000', dashes: '', width: 2.2, words: 'ground' },
  analog: { colour: '#0072B2', dashes: '', width: 2.2, words: 'measured' },
  pulses: { colour: '#AA3377', dashes: '10 3', width: 2.2, words: 'pulses and levels out' },
  watched: { colour: '#00734F', dashes: '3 3', width: 2.2, words: 'watched edges' },
  bus: { colour: '#3A86B8', dashes: '10 3 2 3', width: 2.2, words: 'screen bus' },
}

export function escaped(text: string): string {
  return text.replace(/&/g, '&amp;').replace(/</g, '&lt;').replace(/>/g, '&gt;')
}

export type Anchor = 'start' | 'middle' | 'end'

export function label(x: number, y: number, text: string, anchor: Anchor, size: number, style: string): string {
  const look = ' font-size="' + size + '" text-anchor="' + anchor + '"' + (style === '' ? '' : ' ' + style)
  return '<text x="' + x + '" y="' + y + '"' + look + '>' + escaped(text) + '</text>'
}

/** A wire through points. */
export function wire(kind: WireKind, points: number[][]): string {
  const style = WIRES[kind]
  const dashes = style.dashes === '' ? '' : ' stroke-dasharray="' + style.dashes + '"'
  const path = points.map(point => point[0] + ',' + point[1]).join(' ')
  return (
    '<polyline points="' +
    path +
    '" fill="none" stroke="' +
    style.colour +
    '" stroke-width="' +
    style.width +
    '"' +
    dashes +
    ' stroke-linejoin="round"/>'
  )
}

export function dot(x: number, y: number, kind: WireKind): string {
  return '<circle cx="' + x + '" cy="' + y + '" r="3.6" fill="' + WIRES[kind].colour + '"/>'
}

export function box(x: number, y: number, width: number, height: number, title: string, fill: string): string {
  return (
    '<rect x="' +
    x +
    '" y="' +
    y +
    '" width="' +
    width +
    '" height="' +
    height +
    '" rx="8" fill="' +
    fill +
    '" stroke="#333" stroke-width="1.4"/>' +
    (title === '' ? '' : label(x + 12, y + 19, title, 'start', 14, 'font-weight="bold"'))
  )
}

/** A resistor between two heights at `x`, its value beside it; a stroke through it makes it a thermistor. */
export function resistor(x: number, top: number, bottom: number, value: string, thermistor: boolean): string {
  const middle = (top + bottom) / 2
  const height = 24
  let svg =
    wire('ground', [
      [x, top],
      [x, middle - height / 2],
    ]) +
    wire('ground', [
      [x, middle + height / 2],
      [x, bottom],
    ]) +
    '<rect x="' +
    (x - 6) +
    '" y="' +
    (middle - height / 2) +
    '" width="12" height="' +
    height +
    '" fill="#fff" stroke="#000" stroke-width="1.6"/>'
  if (thermistor) {
    svg +=
      '<path d="M' +
      (x - 13) +
      ' ' +
      (middle + 15) +
      ' h5 L' +
      (x + 12) +
      ' ' +
      (middle - 14) +
      '" fill="none" stroke="#000" stroke-width="1.4"/>'
  }
  return svg + label(x - 18, middle + 5, value, 'end', 12.5, '')
}

export function capacitor(x: number, top: number, bottom: number, value: string): string {
  const middle = (top + bottom) / 2
  return (
    wire('ground', [
      [x, top],
      [x, middle - 3],
    ]) +
    wire('ground', [
      [x, middle + 3],
      [x, bottom],
    ]) +
    '<path d="M' +
    (x - 9) +
    ' ' +
    (middle - 3) +
    ' h18 M' +
    (x - 9) +
    ' ' +
    (middle + 3) +
    ' h18" stroke="#000" stroke-width="2"/>' +
    label(x + 14, middle + 4.5, value, 'start', 12.5, '')
  )
}

export function ground(x: number, y: number): string {
  return (
    '<path d="M' +
    (x - 9) +
    ' ' +
    y +
    ' h18 M' +
    (x - 5.5) +
    ' ' +
    (y + 4) +
    ' h11 M' +
    (x - 2) +
    ' ' +
    (y + 8) +
    ' h4" stroke="#000" stroke-width="2"/>'
  )
}

export function supplyMark(x: number, y: number, text: string, anchor: Anchor): string {
  const shift = anchor === 'start' ? 9 : anchor === 'end' ? -9 : 0
  return (
    '<path d="M' +
    (x - 7) +
    ' ' +
    y +
    ' h14" stroke="' +
    WIRES.logic.colour +
    '" stroke-width="3"/>' +
    label(x + shift, anchor === 'middle' ? y - 5 : y + 4, text, anchor, 12, 'fill="#7A5200"')
  )
}

/** A push button from `x` to `x2` at one height. */
export function pushButton(x: number, x2: number, y: number): string {
  return (
    '<path d="M' +
    x +
    ' ' +
    y +
    ' H' +
    (x2 - 4) +
    '" stroke="none"/>' +
    '<circle cx="' +
    x +
    '" cy="' +
    y +
    '" r="3.2" fill="#fff" stroke="#000" stroke-width="1.6"/>' +
    '<circle cx="' +
    x2 +
    '" cy="' +
    y +
    '" r="3.2" fill="#fff" stroke="#000" stroke-width="1.6"/>' +
    '<path d="M' +
    x +
    ' ' +
    (y - 8) +
    ' H' +
    x2 +
    ' M' +
    (x + x2) / 2 +
    ' ' +
    (y - 8) +
    ' v-7" stroke="#000" stroke-width="2" fill="none"/>'
  )
}
