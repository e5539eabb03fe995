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
  /** Starts of the board since the checkpoint, this one not counted. */
  startsSince: number
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
const MOST_AFTER_RESTART_SECONDS = RESTART_MOST_SECONDS + CHECKPOINT_SECONDS
/** Nobody comes back to a film later than this: a base found dark for longer has no session to go on with. */
export const DARK_AT_MOST_SECONDS = 7200
/** What is not known of cooling (volume, draught, tank standing or lying): a factor either way (assumed). */
const COOLING_FACTOR = 1.6
const MEASURED_ROOM_SIGMA_CELSIUS = 1
const BELIEVED_ROOM_SIGMA_CELSIUS = 4
/** Edges further apart than this are no measurement: then the middle of the orders of magnitude stands (assumed). */
const TELLING_FACTOR = 10

/**
 * The wall clock is believed where the bath does not contradict it: it may have been set wrong meanwhile. A restart is
 * short only when it is the first since the checkpoint: one that died before its first tick may have stood for long.
 */
export function darkTime(facts: DarkFacts): DarkTime {
  const cooling = darkByCooling(facts)
  const restarted = facts.startsSince === 0 && (facts.resetCause === 'watchdog' || facts.resetCause === 'software')
  const isRestart = restarted && cooling.leastSeconds <= MOST_AFTER_RESTART_SECONDS
  const byWall = facts.wallNowSeconds - facts.wallThenSeconds
  const least = cooling.leastSeconds > RESTART_LEAST_SECONDS ? cooling.leastSeconds : 0
  if (byWall >= least && byWall <= cooling.mostSeconds) {
    // Longer than a restart takes: somebody had stopped it at the prompt, or somebody has set the clock.
    // Either of the two, and nothing between them is likelier: the middle leaves both within two sigma.
    if (isRestart && byWall > MOST_AFTER_RESTART_SECONDS) return evenly(RESTART_LEAST_SECONDS, byWall)
    return {
      seconds: byWall,
      leastSeconds: Math.max(0, byWall - WALL_SIGMA_SECONDS),
      mostSeconds: byWall + WALL_SIGMA_SECONDS,
    }
  }
  return isRestart ? evenly(RESTART_LEAST_SECONDS, MOST_AFTER_RESTART_SECONDS) : cooling
}

function evenly(leastSeconds: number, mostSeconds: number): DarkTime {
  return { seconds: (leastSeconds + mostSeconds) / 2, leastSeconds: leastSeconds, mostSeconds: mostSeconds }
}

/** The middle of the orders of magnitude is off by the same factor either way. */
function between(leastSeconds: number, mostSeconds: number): DarkTime {
  return { seconds: Math.sqrt(leastSeconds * mostSeconds), leastSeconds: leastSeconds, mostSeconds: mostSeconds }
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
  const most = seconds((drop < 0 ? 0 : drop) + reach, room + 2 * roomSigma, rate / COOLING_FACTOR)
  const known = (value: number, otherwise: number): number =>
    value >= 0 && value <= DARK_AT_MOST_SECONDS ? value : otherwise
  const leastSeconds = Math.max(RESTART_LEAST_SECONDS, known(least, 0))
  const mostSeconds = Math.max(leastSeconds, known(most, DARK_AT_MOST_SECONDS))
  const dark = between(leastSeconds, mostSeconds)
  const said = known(middle, NaN)
  // A bath close to the room says hardly anything: what it says most likely may then be hours, from a tenth of a degree.
  const tells = mostSeconds < TELLING_FACTOR * leastSeconds
  if (tells && said > leastSeconds && said < mostSeconds) dark.seconds = said
  return dark
}

/** One sigma of the dark time: the further edge is two of them away. */
export function darkSigma(dark: DarkTime): number {
  return Math.max(dark.mostSeconds - dark.seconds, dark.seconds - dark.leastSeconds) / 2
}

/** What the film got in the dark: progress for the likely time, and one sigma from the edges of what is possible. */
export interface DarkProgress {
  progress: number
  sigma: number
  /** The part of it that the temperatures leave, however well the time is known. */
  celsiusSigma: number
}

/**
 * The rate at the bath's first and last temperature and half-way, weighted as Simpson does. `sigmaCelsius` is how well the temperatures between are known.
 */
export function darkProgress(
  rate: Rate | undefined,
  dark: DarkTime,
  thenCelsius: number,
  nowCelsius: number,
  sigmaCelsius: number,
): DarkProgress {
  if (rate === undefined) return { progress: 0, sigma: 0, celsiusSigma: 0 }
  const half = (thenCelsius + nowCelsius) / 2
  const perSecond = (1 / secondsAt(rate, thenCelsius) + 4 / secondsAt(rate, half) + 1 / secondsAt(rate, nowCelsius)) / 6
  const progress = perSecond * dark.seconds
  const byTime = perSecond * darkSigma(dark)
  const byCelsius = progress * sensitivityAt(rate, half) * sigmaCelsius
  return { progress: progress, sigma: Math.sqrt(byTime * byTime + byCelsius * byCelsius), celsiusSigma: byCelsius }
}
