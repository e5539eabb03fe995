/**
 * The temperatures of a recorded session, as traces: the baths one after the other, the tank between them, the room.
 *
 * What is recorded of a bath is what the base took it to be. While a bath is poured and its probe still tells of the one
 * before, that is an expectation and no measurement; those seconds are taken from what follows them.
 */
import type { Checkpoint } from '../../firmware/journal/payloads.ts'
import { WATER_JOULES_PER_MILLILITRE_KELVIN } from '../../firmware/sense/heat.ts'
import type { SessionState } from '../../firmware/session/table.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import { drawBathTruth } from '../plant/bathTruth.ts'
import { STREAM } from '../plant/evening.ts'
import { createRandom } from '../plant/random.ts'
import type { Trace } from './trace.ts'

/** The tank, and what was poured for each bath of the recipe. */
export interface PourSetting {
  tank: Tank
  millilitres: number[]
}

/** A bath that is known worse than this (one sigma) is expected, not measured: a pour is expected within 4 to 6 degrees. */
const MEASURED_CELSIUS = 0.5

const IN_TANK: { [state in SessionState]: boolean } = {
  planned: false,
  ready: false,
  filling: true,
  fillingDue: true,
  turning: true,
  due: true,
  held: true,
  heldDue: true,
  stopped: true,
  stoppedDue: true,
  draining: true,
  finished: false,
  abandoned: false,
}

/** The tank, as the probe in it tells while it is empty. */
export function bodyTrace(checkpoints: Checkpoint[]): Trace {
  return traceOf(checkpoints.map(c => [c.sessionSeconds, c.bodyCelsius]))
}

function traceOf(points: [number, number][]): Trace {
  const rising: [number, number][] = []
  let last = -Infinity
  for (const point of points) {
    if (isNaN(point[1]) || !(point[0] > last)) continue
    rising.push(point)
    last = point[0]
  }
  return {
    seconds: Float64Array.from(rising, point => point[0]),
    bathCelsius: Float64Array.from(rising, point => point[1]),
    ambientCelsius: undefined,
  }
}

/** The baths one after the other. Between two of them nobody looks at it: the tank is empty. */
export function bathTrace(checkpoints: Checkpoint[], zeroSeconds: number, setting: PourSetting): Trace {
  const points: [number, number][] = []
  const last = checkpoints[checkpoints.length - 1]?.bathIndex ?? -1
  for (let index = 0; index <= last; index++) {
    const inTank = checkpoints.filter(c => c.bathIndex === index && IN_TANK[c.state] && !isNaN(c.bathSeconds))
    const first = inTank[0]
    if (first === undefined) continue
    const contactSeconds = Math.max(zeroSeconds, first.sessionSeconds - first.bathSeconds)
    const measured = afterPour(inTank)
    const millilitres = setting.millilitres[Math.min(index, setting.millilitres.length - 1)] as number
    points.push(...pourTrace(inTank, measured[0] as Checkpoint, contactSeconds, setting.tank, millilitres))
    for (const c of measured) points.push([c.sessionSeconds, c.bathCelsius])
  }
  return traceOf(points)
}

/** From the first checkpoint on at which the probe had told. What is never measured is taken as it was expected. */
function afterPour(inTank: Checkpoint[]): Checkpoint[] {
  const first = inTank.findIndex(c => c.bathSigmaCelsius < MEASURED_CELSIUS && c.state !== 'filling')
  return first < 0 ? inTank.slice(-1) : inTank.slice(first)
}

/**
 * From first contact to the first measurement: constant while it is poured, then towards the tank as two bodies even
 * out that had the tank's temperature before the pour and the measured one after it. Heat of the tank by its file, and how
 * fast it takes it in the middle of what tanks do.
 */
function pourTrace(
  inTank: Checkpoint[],
  measured: Checkpoint,
  contactSeconds: number,
  tank: Tank,
  millilitres: number,
): [number, number][] {
  const closed = inTank.find(c => c.state !== 'filling' && c.state !== 'fillingDue') ?? measured
  const untilSeconds = measured.sessionSeconds - closed.sessionSeconds
  if (!(untilSeconds > 0)) return [[contactSeconds, measured.bathCelsius]]
  const bodyCelsius = (inTank[0] as Checkpoint).bodyCelsius
  const body = tank.heatJoulesPerKelvin
  const liquid = WATER_JOULES_PER_MILLILITRE_KELVIN * millilitres
  const perSecond = drawBathTruth(createRandom(1, STREAM.bath), tank, 0).turningWattsPerKelvin * (1 / body + 1 / liquid)
  const share = body / (body + liquid)
  const apart = (measured.bathCelsius - bodyCelsius) / (1 - share * (1 - Math.exp(-perSecond * untilSeconds)))
  const at = (seconds: number): number => bodyCelsius + apart * (1 - share * (1 - Math.exp(-perSecond * seconds)))
  const points: [number, number][] = [[contactSeconds, at(0)]]
  for (let seconds = 0; seconds < untilSeconds; seconds++) points.push([closed.sessionSeconds + seconds, at(seconds)])
  return points
}

export function roomTrace(checkpoints: Checkpoint[]): Trace | undefined {
  const trace = traceOf(checkpoints.map(c => [c.sessionSeconds, c.roomCelsius]))
  return trace.seconds.length === 0 ? undefined : trace
}
