/** What a person reads of a campaign and of one of its sessions. */

import { hanging, wrapped } from '../report/words.ts'
import { type BrokenReport, type CampaignResult, unmarked } from './campaign.ts'
import { PROMISE_NAMES, PROMISES } from './promises/promise.ts'
import type { FaultEvent, Scenario } from './scenario.ts'
import { FAULTS } from './table.ts'

const KEPT = '\u2713'
const BROKEN = '\u2717'
const UNJUDGED = '-'
const EXPLAINED = 'what each fault does: sim/faults/FAULTS.md'

/** What this seed decides, before anything happens. */
export function scenarioText(scenario: Scenario): string {
  const { run } = scenario
  const { rotation, pack } = run.base
  const lines = [
    `Seed ${scenario.seed}: ${run.recipe.title}, ${run.recipe.baths.map(bath => bath.name).join(', ')}`,
    `room ${run.roomCelsius} C, pack ${Math.round(run.startCharge * 100)} %, disc ${rotation.edgesPerShaftTurn}, ` +
      `magnets ${rotation.magnetsOnTank}, current sense ${pack.currentSense ? 'yes' : 'no'}, ` +
      `room thermistor ${run.base.room === undefined ? 'no' : 'yes'}, wall clock ${scenario.wallClockSet ? 'set' : 'not set'}`,
  ]
  if (scenario.possible.length === 0) lines.push('possible faults: none')
  else {
    lines.push(`possible faults: ${scenario.possible.map(({ fault, times }) => `${fault} x ${times}`).join(', ')}`)
    for (const event of scenario.events) lines.push(`  ${eventText(event)}`)
  }
  return lines.flatMap(line => (line.startsWith('  ') ? hanging('  ', line.slice(2)) : wrapped(line, 2))).join('\n')
}

function eventText(event: FaultEvent): string {
  const { unit } = FAULTS[event.fault]
  const when =
    event.after === undefined
      ? `at ${event.atSeconds} s`
      : `${event.atSeconds} s after ${event.after.moment} of bath ${event.after.bathIndex + 1}`
  const lasts =
    event.lastsSeconds === 0 ? '' : event.lastsSeconds === Infinity ? ', to the end' : `, for ${event.lastsSeconds} s`
  return `${event.fault}#${event.place} ${when}${lasts}${unit === '' ? '' : `, ${event.strength} ${unit}`}`
}

/** Of one session only what is not as usual; of a campaign every promise, fault and alarm. */
export function resultText(result: CampaignResult): string {
  return result.sessions === 1 ? oneText(result) : campaignText(result)
}

function oneText(result: CampaignResult): string {
  const kept = PROMISE_NAMES.length - result.broken.length
  const lines = [`${kept} of ${PROMISE_NAMES.length} promises kept`]
  for (const one of result.broken)
    lines.push(...hanging(`  ${BROKEN} `, `${one.promise}: ${PROMISES[one.promise]}`), ...brokenText(one))
  lines.push('', EXPLAINED)
  return lines.join('\n')
}

function campaignText(result: CampaignResult): string {
  const lines = [
    `${count(result.sessions)} sessions, ${count(Math.round(result.simulatedSeconds / 3600))} hours simulated`,
    '',
    'Promises, in how many sessions each was judged',
  ]
  for (const promise of PROMISE_NAMES) {
    const broken = result.broken.filter(one => one.promise === promise)
    const judgedIn = result.judged[promise] ?? 0
    const sign = broken.length > 0 ? BROKEN : judgedIn > 0 ? KEPT : UNJUDGED
    const judged = count(judgedIn).padStart(7)
    lines.push(...hanging(`  ${sign} ${judged} ${promise.padEnd(22)} `, PROMISES[promise]))
    for (const one of broken.slice(0, 3)) lines.push(...brokenText(one))
    if (broken.length > 3) lines.push(`      and ${broken.length - 3} more`)
  }
  lines.push('', ...boundText(result.bounds))
  lines.push('', 'Occurred', ...columns(result.marks))
  const never = unmarked(result)
  if (never.length > 0) lines.push('', ...wrapped(`Never: ${never.join(', ')}`, 2))
  lines.push('', EXPLAINED)
  return lines.join('\n')
}

/** The bound is a statement about many baths: their share beyond it. */
function boundText({ baths, beyond, uncertainBaths, uncertainBeyond }: CampaignResult['bounds']): string[] {
  const share = (part: number, of: number): string => (of === 0 ? '-' : `${((100 * part) / of).toFixed(2)} %`)
  return [
    'Developed baths further off at their end than the bound that the base stated',
    '(95 of 100 should be within)',
    ...hanging(
      '  ',
      `${share(beyond, baths)} of ${count(baths)}, ${share(uncertainBeyond, uncertainBaths)} of ${count(uncertainBaths)} under an alarm`,
    ),
  ]
}

function brokenText(one: BrokenReport): string[] {
  // The command stays in one line, to be copied.
  return [...hanging('      ', `seed ${one.seed} at ${one.atSeconds} s: ${one.why}`), `        ${one.repeat}`]
}

/** Names with their counts, two in a line. */
function columns(marks: CampaignResult['marks']): string[] {
  const cells = Object.entries(marks).map(([name, times]) => `${count(times).padStart(7)} ${name}`.padEnd(36))
  const lines: string[] = []
  for (let i = 0; i < cells.length; i += 2)
    lines.push(
      cells
        .slice(i, i + 2)
        .join('')
        .trimEnd(),
    )
  return lines
}

function count(value: number): string {
  return value.toLocaleString('en')
}
