/** The guide's generated pieces: a table of pins for each board, and the boards' facts side by side. */
import { pinRows } from '../pins.ts'
import type { Wiring } from '../wiring.ts'
import { boardFacts } from './boardFacts.ts'

export function pinTable(wiring: Wiring): string {
  const facts = boardFacts(wiring)
  const rows = [['does what', 'engine', 'on the board', 'in the wiring file']]
  pinRows(wiring).forEach(row => {
    rows.push([row.does, '`' + row.pin + '`', facts.printed(row.pin), '`' + row.field + '`'])
  })
  rows.push(['sensors and screen, 3.3 V', '', facts.logic, ''])
  rows.push(["upper end of the probe's divider", '', facts.reference, ''])
  rows.push(['from the step-down converter, 5 V', '', facts.feed, ''])
  return tableOf(rows)
}

export function factsTable(wirings: Wiring[]): string {
  const row = (title: string, of: (wiring: Wiring) => string): string[] => [title].concat(wirings.map(of))
  const pack = (wiring: Wiring): string =>
    wiring.supply.upperOhms / 1000 + ' / ' + wiring.supply.lowerOhms / 1000 + ' kOhm'
  const stop = (wiring: Wiring): string =>
    wiring.motor.triggerPin === undefined
      ? 'the watchdog, ' + wiring.watchdog.limitSeconds + ' s; then pull-downs'
      : 'the monostable, ' + wiring.motor.holdSeconds + ' s; then the watchdog, ' + wiring.watchdog.limitSeconds + ' s'
  const journal = (wiring: Wiring): string =>
    wiring.journal.bytes / 1024 +
    ' kB, ' +
    (wiring.journal.kind === 'file' ? 'in a file of the store' : 'in bare pages')
  return tableOf([
    row('', wiring => wiring.board),
    row('firmware slots', wiring => String(wiring.slots)),
    row('the laptop is on', wiring => wiring.serialPort),
    row('pack divider, upper / lower', pack),
    row('stops the motor when the firmware hangs', stop),
    row('stops the motor when only the control loop ends', () => 'a timer, 0.5 s'),
    row('journal', journal),
    row('the store is compacted by', wiring => 'the ' + wiring.compactedBy),
    row('wall clock through a restart', wiring => (wiring.clockKeptBy === 'chip' ? 'runs on' : 'is lost')),
  ])
}

/** Rows of one width, the first one the head, padded so that the text reads as a table too. */
function tableOf(rows: string[][]): string {
  const widths = rows[0].map((_, column) =>
    Math.max.apply(
      null,
      rows.map(row => row[column].length),
    ),
  )
  const padded = (text: string, width: number, by: string): string => {
    let whole = text
    while (whole.length < width) whole += by
    return whole
  }
  const lines = rows.map(row => '| ' + row.map((cell, column) => padded(cell, widths[column], ' ')).join(' | ') + ' |')
  const rule = '| ' + widths.map(width => padded('', width, '-')).join(' | ') + ' |'
  return [lines[0], rule].concat(lines.slice(1)).join('\n')
}
