/** A plan as a photographer reads it: what to mix, how warm to pour, how long, will the pack last, what to mind. */
import { CAUTIONS, wrapped } from '../report/words.ts'
import type { Plan, PlannedBath } from './planShapes.ts'
import { filmsSaid } from './planVolume.ts'

function minutes(seconds: number): string {
  const whole = Math.round(seconds)
  const rest = whole % 60
  return `${Math.floor(whole / 60)}:${rest < 10 ? '0' : ''}${rest}`
}

function percent(fraction: number): string {
  return `${Math.round(100 * fraction)} %`
}

function range(pour: [number, number]): string {
  return `${pour[0].toFixed(1)} to ${pour[1].toFixed(1)} C`
}

function bathLine(bath: PlannedBath, width: number): string {
  const pour = bath.pourCelsius === null ? 'any' : range(bath.pourCelsius)
  return `  ${bath.name.padEnd(width)}  ${minutes(bath.seconds).padStart(6)}   ${bath.aimPourCelsius.toFixed(1).padStart(5)} C   ${pour}`
}

function mixLines(plan: Plan): string[] {
  const tooMuch = plan.leastMillilitres > plan.mostLyingMillilitres
  const standing = Math.round(plan.standingMillilitres)
  const because =
    plan.leastBecause === 'chemistry' ? `the chemistry of the ${plan.leastBath}` : 'wetting the innermost turn of film'
  return [
    `Mix      ${plan.advisedMillilitres} mL of each solution for ${filmsSaid(plan.films)}, ${tooMuch ? `more than the ${plan.mostLyingMillilitres} mL that the tank holds lying` : 'tank lying'}.`,
    tooMuch
      ? `         Standing it takes ${standing} mL${plan.standingMillilitres < plan.leastMillilitres ? ': too little, too' : ''}.`
      : `         Standing it would take ${standing} mL: ${percent(plan.savedFraction)} saved.`,
    `         Never less than ${plan.leastMillilitres} mL: ${because}.`,
  ]
}

function daysText(daysLeft: number | null): string {
  if (daysLeft === null) return 'age not known'
  return daysLeft < 0 ? 'over its time' : `${Math.floor(daysLeft)} more days`
}

/** Lines of plain text, ending with a line feed. */
export function planText(plan: Plan): string {
  const width = plan.baths.reduce((most, bath) => Math.max(most, bath.name.length), 4)
  const lines = [
    `${plan.title}, ${filmsSaid(plan.films)}, room and tank at ${plan.roomCelsius} C`,
    '',
    ...mixLines(plan),
    `Pour     the first developer at ${plan.aimPourCelsius.toFixed(1)} C; ${range(plan.pourCelsius)} stays in its range.`,
    `Time     ${minutes(plan.seconds)} from setting up to the last drain, if all goes smoothly.`,
    `Pack     this session takes ${percent(plan.chargeNeeded)} of a full pack and leaves ${percent(plan.chargeLeft)}, enough for ${plan.sessionsLeft.toFixed(1)} more.`,
    `Record   ${(plan.recordBytes / 1000).toFixed(0)} kB into the base's flash, which lasts ${plan.recordYears.toFixed(0)} years at one session a day.`,
    '',
    `  ${'bath'.padEnd(width)}    time   pour at   works when poured at`,
    ...plan.baths.map(bath => bathLine(bath, width)),
  ]
  if (plan.shelf.length > 0) lines.push('')
  for (const one of plan.shelf) {
    const films = one.filmsLeft === null ? 'its sheet states no last film' : `${Math.floor(one.filmsLeft)} more films`
    const days = daysText(one.daysLeft)
    lines.push(`Shelf    ${one.bath}: ${films}; ${days} (${one.source}).`)
  }
  if (plan.cautions.length > 0) lines.push('')
  for (const caution of plan.cautions) lines.push(`Mind     ${caution}`)
  lines.push('', ...CAUTIONS.flatMap(caution => wrapped(`! ${caution}`, 2)))
  return `${lines.flatMap(line => (line.length > 80 ? wrapped(line, 9) : [line])).join('\n')}\n`
}
