/**
 * How evenly the film was wetted, from the tank's real angle: one accumulator that lives through a bath.
 *
 * Turns of the reel at three radii are watched. A place on the film is immersed while its angle from the bottom is
 * within the half angle of its radius. How long the tank stood at which angle is kept in 360 bins, to which a tick
 * adds its way as a difference array, and only at the end that is folded with the immersed arc. Dry spells and exchanges are
 * followed at 90 places of the radius that is in the liquid for the shortest time; a tick touches only those that
 * cross the surface.
 *
 * Assumes an even speed within a tick and a level surface. Counting starts with the first tick that turns the tank.
 * A radius that the liquid never reaches has an `immersionCv` of 1 by definition; a bath without a turn is all zeros.
 */

import { BINS, worstVariation } from './immersion.ts'

export { immersedHalfAngle } from './immersion.ts'

export interface Arcs {
  /** Half of the immersed arc at the inner, middle and outer turn of the film: 0 never immersed, pi always. */
  innerRadians: number
  middleRadians: number
  outerRadians: number
}

export interface EvennessReport {
  /** Standard deviation over mean of the immersed time round the film, worst radius. */
  immersionCv: number
  longestDrySeconds: number
  /** How often a place goes under, mean of all places; 0 where the film never leaves the liquid. */
  exchangesPerMinute: number
  reversals: number
}

const PLACES = 90
/** Turning back by less than this is no reversal: assumed, 7 degrees. */
const REVERSAL_TURNS = 0.02
const TURNS_PER_RADIAN = 1 / (2 * Math.PI)

export interface Evenness {
  /** Half arcs in turns. */
  halfTurns: Float64Array
  /** Seconds in each bin: apart, and as a difference array of whole bins that were swept. */
  seconds: Float64Array
  sweptSeconds: Float64Array
  /** When each place left the liquid; what the driest radius's half arc is, in turns. */
  drySince: Float64Array
  driestHalfTurns: number
  /** Places from `enter` up to `leave` are immersed (indices not yet wrapped). */
  enter: number
  leave: number
  started: boolean
  startSeconds: number
  lastSeconds: number
  longestDrySeconds: number
  entries: number
  reversals: number
  direction: number
  furthestTurns: number
}

export function createEvenness(): Evenness {
  return {
    halfTurns: new Float64Array(3),
    seconds: new Float64Array(BINS),
    sweptSeconds: new Float64Array(BINS + 1),
    drySince: new Float64Array(PLACES),
    driestHalfTurns: 0,
    enter: 0,
    leave: 0,
    started: false,
    startSeconds: 0,
    lastSeconds: 0,
    longestDrySeconds: 0,
    entries: 0,
    reversals: 0,
    direction: 0,
    furthestTurns: 0,
  }
}

/** A new bath: forgets everything. */
export function beginEvenness(e: Evenness, arcs: Arcs): void {
  e.halfTurns[0] = arcs.innerRadians * TURNS_PER_RADIAN
  e.halfTurns[1] = arcs.middleRadians * TURNS_PER_RADIAN
  e.halfTurns[2] = arcs.outerRadians * TURNS_PER_RADIAN
  e.driestHalfTurns = Math.min(e.halfTurns[0], e.halfTurns[1], e.halfTurns[2])
  e.seconds.fill(0)
  e.sweptSeconds.fill(0)
  e.started = false
  e.longestDrySeconds = 0
  e.entries = 0
  e.reversals = 0
  e.direction = 0
}

/** The tank turned from `fromTurns` to `toTurns` in the `dtSeconds` that end at `nowSeconds`. */
export function tickEvenness(
  e: Evenness,
  fromTurns: number,
  toTurns: number,
  nowSeconds: number,
  dtSeconds: number,
): void {
  const way = toTurns - fromTurns
  if (!e.started) {
    if (way === 0) return
    start(e, fromTurns, nowSeconds - dtSeconds)
  }
  e.lastSeconds = nowSeconds
  addTime(e, fromTurns, way, dtSeconds)
  if (way === 0) return
  followReversals(e, toTurns, way)
  if (e.driestHalfTurns > 0 && e.driestHalfTurns < 0.5) {
    followSurface(e, fromTurns, toTurns, nowSeconds - dtSeconds, dtSeconds)
  }
}

/** The report of the bath so far; the spells that still last are counted as they stand. */
export function endEvenness(e: Evenness): EvennessReport {
  if (!e.started) return { immersionCv: 0, longestDrySeconds: 0, exchangesPerMinute: 0, reversals: 0 }
  const seconds = e.lastSeconds - e.startSeconds
  let longestDrySeconds = e.longestDrySeconds
  if (e.driestHalfTurns <= 0) longestDrySeconds = seconds
  else if (e.driestHalfTurns < 0.5) {
    for (let place = e.leave; place < e.enter + PLACES; place++) {
      longestDrySeconds = Math.max(longestDrySeconds, e.lastSeconds - e.drySince[wrap(place, PLACES)])
    }
  }
  return {
    immersionCv: worstVariation(e.seconds, e.sweptSeconds, e.halfTurns),
    longestDrySeconds,
    exchangesPerMinute: seconds > 0 ? (e.entries / PLACES / seconds) * 60 : 0,
    reversals: e.reversals,
  }
}

function start(e: Evenness, turns: number, nowSeconds: number): void {
  e.started = true
  e.startSeconds = nowSeconds
  e.furthestTurns = turns
  e.enter = Math.ceil((-e.driestHalfTurns - turns) * PLACES)
  e.leave = Math.ceil((e.driestHalfTurns - turns) * PLACES)
  e.drySince.fill(nowSeconds)
}

function wrap(index: number, size: number): number {
  return index - Math.floor(index / size) * size
}

/** Spreads the tick's time evenly over the bins that were swept. */
function addTime(e: Evenness, fromTurns: number, way: number, dtSeconds: number): void {
  const low = (way > 0 ? fromTurns : fromTurns + way) * BINS
  const width = (way > 0 ? way : -way) * BINS
  const first = Math.floor(low)
  const last = Math.floor(low + width)
  const firstBin = wrap(first, BINS)
  if (first === last) {
    e.seconds[firstBin] += dtSeconds
    return
  }
  const secondsPerBin = dtSeconds / width
  const lastBin = wrap(last, BINS)
  e.seconds[firstBin] += secondsPerBin * (first + 1 - low)
  e.seconds[lastBin] += secondsPerBin * (low + width - last)
  // Whole bins between the two; each time the sweep passes bin 0 the difference array begins anew.
  e.sweptSeconds[firstBin + 1] += secondsPerBin
  e.sweptSeconds[lastBin] -= secondsPerBin
  const seams = (last - lastBin - (first - firstBin)) / BINS
  if (seams > 0) e.sweptSeconds[0] += secondsPerBin * seams
}

function followReversals(e: Evenness, turns: number, way: number): void {
  if (e.direction === 0) e.direction = way > 0 ? 1 : -1
  const back = (e.furthestTurns - turns) * e.direction
  if (back <= 0) e.furthestTurns = turns
  else if (back > REVERSAL_TURNS) {
    e.reversals++
    e.direction = -e.direction
    e.furthestTurns = turns
  }
}

/**
 * Moves the two ends of the immersed arc round the film. Turning forth both move towards lower places: the front end
 * takes places in, the rear end lets them go; turning back the other way round.
 */
function followSurface(e: Evenness, fromTurns: number, toTurns: number, sinceSeconds: number, dtSeconds: number): void {
  const half = e.driestHalfTurns
  const enter = Math.ceil((-half - toTurns) * PLACES)
  const leave = Math.ceil((half - toTurns) * PLACES)
  const secondsPerTurn = dtSeconds / (toTurns - fromTurns)
  // Place p crosses an end of the arc when turns = end - p / PLACES.
  const step = -secondsPerTurn / PLACES
  const frontSeconds = sinceSeconds + (-half - fromTurns) * secondsPerTurn
  const rearSeconds = sinceSeconds + (half - fromTurns) * secondsPerTurn
  // A place may do both in one tick: the one of the shorter arc comes first.
  if (half > 0.25) surfaceOut(e, enter, leave, frontSeconds, rearSeconds, step)
  if (enter < e.enter) goUnder(e, enter, e.enter, frontSeconds, step)
  else if (e.leave < leave) goUnder(e, e.leave, leave, rearSeconds, step)
  if (half <= 0.25) surfaceOut(e, enter, leave, frontSeconds, rearSeconds, step)
  e.enter = enter
  e.leave = leave
}

/** Places from `first` up to `end` go under, each at `zeroSeconds` + place × `stepSeconds`. */
function goUnder(e: Evenness, first: number, end: number, zeroSeconds: number, stepSeconds: number): void {
  const drySince = e.drySince
  let longest = e.longestDrySeconds
  let index = wrap(first, PLACES)
  for (let place = first; place < end; place++) {
    const drySeconds = zeroSeconds + place * stepSeconds - drySince[index]
    if (drySeconds > longest) longest = drySeconds
    if (++index === PLACES) index = 0
  }
  e.longestDrySeconds = longest
  e.entries += end - first
}

function surfaceOut(
  e: Evenness,
  enter: number,
  leave: number,
  frontSeconds: number,
  rearSeconds: number,
  stepSeconds: number,
): void {
  if (leave < e.leave) comeOut(e, leave, e.leave, rearSeconds, stepSeconds)
  else if (e.enter < enter) comeOut(e, e.enter, enter, frontSeconds, stepSeconds)
}

/** The other way round. */
function comeOut(e: Evenness, first: number, end: number, zeroSeconds: number, stepSeconds: number): void {
  const drySince = e.drySince
  let index = wrap(first, PLACES)
  for (let place = first; place < end; place++) {
    drySince[index] = zeroSeconds + place * stepSeconds
    if (++index === PLACES) index = 0
  }
}
