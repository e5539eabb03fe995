/** Writes FAULTS.md from the table: `npm run schema` writes the file, a test compares it with what this gives. */
import { ALARMS, alarmPlace } from '../../firmware/session/alarmTable.ts'
import type { FaultGroup, FaultKind, Tells } from './faultKind.ts'
import { PROMISE_NAMES, PROMISES } from './promises/promise.ts'
import { FAULT_NAMES, FAULTS } from './table.ts'

const TITLES: { [group in FaultGroup]: string } = {
  probe: 'Probe, room thermistor and converter',
  rotation: 'Rotation sensing',
  rollers: 'Tank and rollers',
  motor: 'Motor and driver',
  pack: 'Pack',
  buttons: 'Buttons',
  operator: 'Operator',
  board: 'Board',
  flash: 'Flash',
  line: 'Serial line',
  panel: 'Screen and sounder',
}

const WHILE: { [when in Tells['while']]: string } = {
  any: 'in any state of a session',
  driven: 'of driving',
  still: 'of a motor told to rest',
  inBath: 'of a full bath',
}

export function faultsPage(): string {
  const parts = [
    '# What can go wrong, and what the base does about it',
    'Written by `npm run schema` from `sim/faults/tables/`; the campaign (`npm start --silent -- faults`) draws from the same\n' +
      'table and holds every session to the promises below, from outside the firmware.',
    '## Promises',
    PROMISE_NAMES.map(name => `- **${name}**: ${PROMISES[name]}.`).join('\n'),
    '## Faults',
    'Strengths are drawn evenly from their range (where two ranges are given, half of them from each); lengths evenly over their logarithm. "Must tell" names the alarm that has to\n' +
      'stand once the fault has lasted for so long. "Excuses" are promises that nobody could keep while it lasts: for so many\n' +
      'seconds after it, or to the end of the session.',
  ]
  for (const group of Object.keys(TITLES) as FaultGroup[]) {
    parts.push(`### ${TITLES[group]}`)
    for (const name of FAULT_NAMES) if (FAULTS[name].group === group) parts.push(faultText(name, FAULTS[name]))
  }
  return `${parts.join('\n\n')}\n`
}

function faultText(name: string, kind: FaultKind): string {
  const lines = [`**${name}**: ${kind.does}`, '', `- ${measures(kind)}`, `- The base: ${kind.mustDo}`]
  if (kind.tells !== undefined) lines.push(`- Must tell: ${tellsText(kind.tells)}`)
  if (kind.mayRaise.length > 0) lines.push(`- May raise: ${[...new Set(kind.mayRaise)].sort().join(', ')}.`)
  const excuses = Object.entries(kind.excuses ?? {})
  if (excuses.length > 0) {
    const text = excuses.map(
      ([promise, seconds]) => `${promise} (${seconds === Infinity ? 'session' : `${seconds} s`})`,
    )
    lines.push(`- Excuses: ${text.join(', ')}.`)
  }
  return lines.join('\n')
}

function measures(kind: FaultKind): string {
  const often =
    kind.oftenWithin === undefined ? '' : `, or up or down by ${kind.oftenWithin[0]} to ${kind.oftenWithin[1]}`
  const strength = kind.unit === '' ? '' : `${kind.range[0]} to ${kind.range[1]}${often} ${kind.unit}; `
  const lasts =
    kind.lasts === 'session'
      ? 'the whole session'
      : kind.lasts[1] === 0
        ? 'a moment'
        : `${kind.lasts[0]} to ${kind.lasts[1]} s`
  const times = kind.lasts === 'session' ? '' : `; ${kind.times[0]} to ${kind.times[1]} times`
  const needs = kind.needs === undefined ? '' : `; needs ${NEEDS[kind.needs]}`
  return `${strength}lasts ${lasts}${times}${needs}.`
}

const NEEDS: { [needs in NonNullable<FaultKind['needs']>]: string } = {
  disc: 'a disc',
  magnets: 'magnets',
  discAndMagnets: 'a disc and magnets',
  currentSense: 'a current sense',
  room: 'a room thermistor',
}

function tellsText(tells: Tells): string {
  const alarms = tells.alarms.map(number => `${number} ${ALARMS[alarmPlace(number)]?.name}`).join(' or ')
  const from = tells.fromStrength === undefined ? '' : `, from a strength of ${tells.fromStrength} on`
  const needs = tells.needs === undefined ? '' : `, with ${NEEDS[tells.needs]}`
  return `alarm ${alarms} within ${tells.withinSeconds} s ${WHILE[tells.while]}${from}${needs}.`
}
