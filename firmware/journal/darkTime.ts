/**
 * How long the base was dark, and what the film got meanwhile. Film in a developer went on developing; nobody turned it.
 *
 * A wall clock that ran says it. Without one, a restart by watchdog or by firmware takes seconds; after a power cut there
 * is only the bath: it has gone towards the room, and how far tells how long, as well as room and probe are known.
 * Figures that are missing only widen what is said; nothing here fails.
 */
import type { ResetCause } from '../../hal/board.ts'
import { type Rate, secondsAt, sensitivityAt } from '../recipe/rate.ts'

/** Since the checkpoint, which is older than the cut by up to its interval. */
export interface DarkTime {
  seconds: number
  leastSeconds: number
  mostSeconds: number
}

export interface DarkFacts {
  resetCause: ResetCause
  /** By the wall clock at the checkpoint and now; NaN without one. */
  wallThenSeconds: number
  wallNowSeconds: number
  /** Bath and tank evened out; NaN where nothing is known. */
  bathThenCelsius: number
  bathNowCelsius: number
  /** One sigma of the difference between the two. */
  dropSigmaCelsius: number
  roomCelsius: number
  /** A room thermistor, not a belief, says the room. */
  roomMeasured: boolean
  /** How fast bath and body together go towards the room, standing: 1/s. */
  coolingPerSecond: number
}

/** Checkpoints are this far apart, at most. */
export const CHECKPOINT_SECONDS = 5
/** A wall clock is read in whole ticks and drifts by less than this in a dark hour (assumed). */
const WALL_SIGMA_SECONDS = 1
/** From a restart to the first tick: the guard listens for 3 s, and the firmware has to be read (assumed). */
const RESTART_LEAST_SECONDS = 3
const RESTART_MOST_SECONDS = 12
/** Nobody comes back to a film later than this: a base found dark for longer has no session to go on with. */
export const DARK_AT_MOST_SECONDS = 7200
/** What is not known of cooling (volume, draught, tank standing or lying): a factor either way (assumed). */
const COOLING_FACTOR = 1.6
const MEASURED_ROOM_SIGMA_CELSIUS = 1
const BELIEVED_ROOM_SIGMA_CELSIUS = 4

export function darkTime(facts: DarkFacts): DarkTime {
  const byWall = facts.wallNowSeconds - facts.wallThenSeconds
  if (byWall >= 0 && byWall <= DARK_AT_MOST_SECONDS) {
    return {
      seconds: byWall,
      leastSeconds: Math.max(0, byWall - WALL_SIGMA_SECONDS),
      mostSeconds: byWall + WALL_SIGMA_SECONDS,
    }
  }
  if (facts.resetCause === 'watchdog' || facts.resetCause === 'software') {
    const most = RESTART_MOST_SECONDS + CHECKPOINT_SECONDS
    return { seconds: (RESTART_LEAST_SECONDS + most) / 2, leastSeconds: RESTART_LEAST_SECONDS, mostSeconds: most }
  }
  return darkByCooling(facts)
}

/** From the bath's way towards the room: t = ln((then − room) / (now − room)) / rate, with each figure at its edges. */
function darkByCooling(facts: DarkFacts): DarkTime {
  const roomSigma = facts.roomMeasured ? MEASURED_ROOM_SIGMA_CELSIUS : BELIEVED_ROOM_SIGMA_CELSIUS
  const cooler = facts.bathThenCelsius >= facts.roomCelsius ? 1 : -1
  // Turned so that the bath always cools.
  const then = cooler * facts.bathThenCelsius
  const now = cooler * facts.bathNowCelsius
  const room = cooler * facts.roomCelsius
  // NaN where no time would have made it so.
  const seconds = (dropped: number, roomCelsius: number, perSecond: number): number => {
    const fromRoom = then - roomCelsius
    const left = fromRoom - dropped
    if (dropped <= 0) return 0
    return left > 0 ? Math.log(fromRoom / left) / perSecond : NaN
  }
  const reach = 2 * facts.dropSigmaCelsius
  const drop = then - now
  const rate = facts.coolingPerSecond
  const middle = seconds(drop, room, rate)
  const least = seconds(drop - reach, room - 2 * roomSigma, rate * COOLING_FACTOR)
  // A bath that seems warmer than it was contradicts what was believed of it: nothing is gained from that on this side.
  const most = seconds((drop > 0 ? drop : 0) + reach, room + 2 * roomSigma, rate / COOLING_FACTOR)
  const known = (value: number, otherwise: number): number =>
    value >= 0 && value <= DARK_AT_MOST_SECONDS ? value : otherwise
  const leastSeconds = Math.max(RESTART_LEAST_SECONDS, known(least, 0))
  const mostSeconds = Math.max(leastSeconds, known(most, DARK_AT_MOST_SECONDS))
  // Where the bath says nothing, the middle of the orders of magnitude is off by the same factor either way.
  const unsaid = Math.sqrt(leastSeconds * mostSeconds)
  const said = known(middle, unsaid)
  return {
    seconds: said > leastSeconds && said < mostSeconds ? said : unsaid,
    leastSeconds: leastSeconds,
    mostSeconds: mostSeconds,
  }
}

/** What the film got in the dark: progress for the likely time, and one sigma from the edges of what is possible. */
export interface DarkProgress {
  progress: number
  sigma: number
}

/**
 * The rate at the bath's first and last temperature and half-way, weighted as Simpson does; the edges of the time are
 * taken as two sigma either way. `sigmaCelsius` is how well the temperatures between are known.
 */
export function darkProgress(
  rate: Rate | undefined,
  dark: DarkTime,
  thenCelsius: number,
  nowCelsius: number,
  sigmaCelsius: number,
): DarkProgress {
  if (rate === undefined) return { progress: 0, sigma: 0 }
  const half = (thenCelsius + nowCelsius) / 2
  const perSecond = (1 / secondsAt(rate, thenCelsius) + 4 / secondsAt(rate, half) + 1 / secondsAt(rate, nowCelsius)) / 6
  const progress = perSecond * dark.seconds
  const byTime = (perSecond * (dark.mostSeconds - dark.leastSeconds)) / 4
  const byCelsius = progress * sensitivityAt(rate, half) * sigmaCelsius
  return { progress: progress, sigma: Math.sqrt(byTime * byTime + byCelsius * byCelsius) }
}
