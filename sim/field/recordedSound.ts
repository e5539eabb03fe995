/**
 * Figures of a journal's records, as far as they can be: a checksum vouches for the bytes that were written, not for the
 * program that wrote them. A record whose moment cannot be is none (`undefined`); any other figure that cannot be is NaN,
 * which is "not known" here. Nothing throws.
 */
import type { Checkpoint, JournalEvent, SessionBegun, Summary } from '../../firmware/journal/payloads.ts'

/** More than two days: no session with its dark times is longer (assumed). */
const SECONDS_AT_MOST = 200_000
/** No recipe has more baths. */
const BATHS_AT_MOST = 16
/** Far beyond any temperature, charge, percentage or count of films. */
const FIGURE_AT_MOST = 1e6
/** The year 5138: whoever set the clock meant something else. */
const WALL_SECONDS_AT_MOST = 1e11

function isMoment(seconds: number): boolean {
  return seconds >= 0 && seconds <= SECONDS_AT_MOST
}

/** NaN, too, is no moment. */
function orUnknown(value: number, least = -FIGURE_AT_MOST, most = FIGURE_AT_MOST): number {
  return value >= least && value <= most ? value : NaN
}

export function soundWall(wallSeconds: number): number {
  return orUnknown(wallSeconds, -WALL_SECONDS_AT_MOST, WALL_SECONDS_AT_MOST)
}

/** How long something lasted. */
export function soundSeconds(seconds: number): number {
  return orUnknown(seconds, 0, SECONDS_AT_MOST)
}

export function soundCheckpoint(c: Checkpoint): Checkpoint | undefined {
  if (!isMoment(c.sessionSeconds) || c.bathIndex >= BATHS_AT_MOST) return undefined
  return {
    ...c,
    bathSeconds: soundSeconds(c.bathSeconds),
    contentsSeconds: soundSeconds(c.contentsSeconds),
    progress: orUnknown(c.progress),
    progressSigma: orUnknown(c.progressSigma, 0),
    progressPerKelvin: orUnknown(c.progressPerKelvin),
    bathCelsius: soundCelsius(c.bathCelsius),
    bathSigmaCelsius: orUnknown(c.bathSigmaCelsius, 0),
    bodyCelsius: soundCelsius(c.bodyCelsius),
    roomCelsius: soundCelsius(c.roomCelsius),
    charge: orUnknown(c.charge),
    wallSeconds: soundWall(c.wallSeconds),
  }
}

/** What a thermistor of ours can tell, and something more. */
function soundCelsius(celsius: number): number {
  return orUnknown(celsius, -60, 160)
}

export function soundEvent(event: JournalEvent): JournalEvent | undefined {
  if (!isMoment(event.sessionSeconds) || event.bathIndex >= BATHS_AT_MOST) return undefined
  return { ...event, seconds: orUnknown(event.seconds) }
}

export function soundBegun(begun: SessionBegun): SessionBegun {
  return {
    ...begun,
    filmsPerLitre: orUnknown(begun.filmsPerLitre, 0),
    wallSeconds: soundWall(begun.wallSeconds),
  }
}

/** A bound may be beyond all bounds: then nothing is sure. */
export function soundSummary(s: Summary): Summary {
  return {
    ...s,
    sessionSeconds: soundSeconds(s.sessionSeconds),
    worstBoundPercent: orUnknown(s.worstBoundPercent, 0, Infinity),
    leastProgress: orUnknown(s.leastProgress),
    mostProgress: orUnknown(s.mostProgress),
    startCharge: orUnknown(s.startCharge),
    endCharge: orUnknown(s.endCharge),
    wallSeconds: soundWall(s.wallSeconds),
  }
}
