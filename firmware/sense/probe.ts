/**
 * Judges the probe: open, short, out of range, jumping, stuck, or fit to be believed. A reading that looks wrong is not
 * used at once; the state changes only when several in a row agree, and recovers only after several good ones.
 *
 * Stuck is the hard one, because a bath that is held exactly constant gives readings that hardly move, and a quiet
 * converter repeats itself. A reading counts as stuck when it repeats exactly although either it should be moving (the
 * bath is far from the probe: a pour, a step) or it used to scatter too much for so long a run to be chance.
 * A reading that is no number counts as open.
 */
import type { ProbeState } from './estimates.ts'
import type { Curve } from './thermistor.ts'
import { celsiusFromCounts, kelvinPerCount } from './thermistor.ts'

export interface ProbeJudge {
  curve: Curve
  state: ProbeState
  /** The last reading in degrees Celsius and whether it may be used. */
  celsius: number
  usable: boolean
  /** Variance of one reading in K², from its own scatter. */
  varianceKelvin2: number

  counts: number
  beforeCounts: number
  /** What a count is worth, where that was worked out, and how far from there it still holds. */
  kelvinPerCount: number
  perCountCounts: number
  perCountReach: number
  /** Mean squared second difference, in counts²: six times the variance of a reading on a smooth course. */
  roughCounts2: number
  /** How often the reading differed from the one before, as a fraction: 0 for a quiet converter. */
  changedShare: number
  /** Readings in a row that were exactly alike, and how far the probe should have moved meanwhile. */
  alike: number
  shouldHaveMovedCelsius: number
  /** What looks wrong, how often in a row; good readings in a row. */
  suspicion: ProbeState
  suspected: number
  good: number
  /** Readings since the last jump. */
  sinceJump: number
}

/** Readings in a row (seconds) before a state changes, and before it recovers. */
const TO_BELIEVE = 3
const TO_RECOVER = 5
const TO_RECOVER_FROM_JUMPING = 20
/** Beyond these fractions of full scale a divider with any sane thermistor is open or shorted (assumed: -55 and 150 C). */
const END_FRACTION = 0.01
/** No bath and no room is outside (assumed). */
const COLDEST_CELSIUS = -5
const WARMEST_CELSIUS = 70
/**
 * A probe with its lag cannot move further in a second than the largest step over the lag, half as much again for what
 * is not known of the lag, and scatter: steps of a pour, and of a bath that is in the tank (assumed).
 */
const POUR_STEP_CELSIUS = 45
const SETTLED_STEP_CELSIUS = 10
const STEP_MARGIN = 1.3
const STEP_SCATTER_CELSIUS = 0.4
/** A reading that scatters by more than this is of no use (assumed). */
const ROUGH_CELSIUS = 0.7
/** Two jumps within so many readings are no accident. */
const JUMP_READINGS = 10
/** Alike so often: chance in less than one of ten million runs when 35 % of the readings used to differ. */
const ALIKE_FOR_LONG = 40
const CHANGED_AT_LEAST = 0.35
/** So often is odd enough not to use them, if they used to differ. */
const ALIKE_FOR_A_WHILE = 8
/** Alike although it should have moved by this, some ten counts: not used at once, stuck after so many. */
const ALIKE_AT_LEAST = 4
const SHOULD_MOVE_CELSIUS = 0.3
/** Scatter of an averaged reading before any is known, in counts; and the least, for rounding and what is not modelled. */
const NOISE_COUNTS = 0.5
const LEAST_NOISE_COUNTS = 0.3
/** What a count is worth changes by a few percent over this fraction of full scale, which a noise may be wrong by. */
const PER_COUNT_REACH = 0.02
/** Share of a new reading in the running means. */
const SHARE = 0.04
/** The same for the scatter of a probe that jumped and is calm now (tuned). */
const CALM_SHARE = 0.2

export function createProbeJudge(curve: Curve): ProbeJudge {
  return {
    state: 'ok',
    celsius: NaN,
    curve,
    usable: false,
    alike: 0,
    counts: NaN,
    shouldHaveMovedCelsius: 0,
    varianceKelvin2: 1,
    roughCounts2: 6 * NOISE_COUNTS * NOISE_COUNTS,
    beforeCounts: NaN,
    changedShare: 0.2,
    perCountReach: PER_COUNT_REACH * curve.fullScaleCounts,
    kelvinPerCount: NaN,
    perCountCounts: NaN,
    suspicion: 'ok',
    suspected: 0,
    good: 0,
    sinceJump: JUMP_READINGS + 1,
  }
}

/**
 * Takes one reading, a second after the last. `expectedMoveCelsius`: how far the observer expects the probe to have
 * moved since then, 0 where it cannot tell; `lagSeconds` bounds how far it can have moved, `settled` too: no pour is
 * going on or just over.
 */
export function judgeProbe(
  judge: ProbeJudge,
  counts: number,
  expectedMoveCelsius: number,
  lagSeconds: number,
  settled: boolean,
): void {
  const largest = settled ? SETTLED_STEP_CELSIUS : POUR_STEP_CELSIUS
  const found = look(judge, counts, expectedMoveCelsius, STEP_SCATTER_CELSIUS + (STEP_MARGIN * largest) / lagSeconds)
  judge.beforeCounts = judge.counts
  judge.counts = found === 'open' || found === 'short' ? NaN : counts
  if (found === 'ok') {
    judge.good++
    judge.suspected = 0
    const enough = judge.state === 'jumping' ? TO_RECOVER_FROM_JUMPING : TO_RECOVER
    if (judge.state !== 'ok' && judge.good >= enough) judge.state = 'ok'
    judge.usable = judge.state === 'ok' && !suspiciouslyAlike(judge)
    return
  }
  judge.good = 0
  judge.usable = false
  judge.suspected = found === judge.suspicion ? judge.suspected + 1 : 1
  judge.suspicion = found
  // Stuck and jumping have seen several readings already.
  if (found === 'stuck' || found === 'jumping' || judge.suspected >= TO_BELIEVE) judge.state = found
}

function suspiciouslyAlike(judge: ProbeJudge): boolean {
  if (judge.alike >= ALIKE_FOR_A_WHILE && judge.changedShare > CHANGED_AT_LEAST) return true
  const moved = judge.shouldHaveMovedCelsius
  return judge.alike > 0 && (moved > SHOULD_MOVE_CELSIUS || moved < -SHOULD_MOVE_CELSIUS)
}

/** What this one reading looks like; keeps the running means. */
function look(judge: ProbeJudge, counts: number, expectedMoveCelsius: number, mostCelsius: number): ProbeState {
  const curve = judge.curve
  const fraction = counts / curve.fullScaleCounts
  const low = !(fraction > END_FRACTION)
  if (low || fraction > 1 - END_FRACTION) {
    // What comes after a gap is no jump.
    judge.celsius = NaN
    judge.alike = 0
    judge.shouldHaveMovedCelsius = 0
    return low === curve.atGround && !isNaN(fraction) ? 'short' : 'open'
  }
  const before = judge.celsius
  judge.celsius = celsiusFromCounts(curve, counts)
  if (!(judge.celsius > COLDEST_CELSIUS && judge.celsius < WARMEST_CELSIUS)) return 'outOfRange'
  const moved = counts - judge.perCountCounts
  if (!(moved < judge.perCountReach && moved > -judge.perCountReach)) {
    judge.perCountCounts = counts
    judge.kelvinPerCount = kelvinPerCount(curve, counts)
  }
  const perCount = judge.kelvinPerCount
  const change = counts - judge.counts
  const second = change - (judge.counts - judge.beforeCounts)
  if (change === 0) {
    judge.alike++
    judge.shouldHaveMovedCelsius += expectedMoveCelsius
  } else {
    judge.alike = 0
    judge.shouldHaveMovedCelsius = 0
  }
  if (judge.alike >= ALIKE_FOR_LONG && judge.changedShare > CHANGED_AT_LEAST) return 'stuck'
  const should = judge.shouldHaveMovedCelsius
  if (judge.alike >= ALIKE_AT_LEAST && (should > SHOULD_MOVE_CELSIUS || should < -SHOULD_MOVE_CELSIUS)) return 'stuck'
  if (judge.alike < ALIKE_AT_LEAST) judge.changedShare += SHARE * ((change === 0 ? 0 : 1) - judge.changedShare)
  judge.sinceJump++
  const step = judge.celsius - before
  if (step > mostCelsius || step < -mostCelsius) {
    const again = judge.sinceJump <= JUMP_READINGS
    judge.sinceJump = 0
    return again ? 'jumping' : 'outOfRange'
  }
  if (!isNaN(second)) {
    const square = second * second
    const most2 = 400 / (perCount * perCount)
    // A probe that has stopped jumping is believed again within a minute, not when the memory of its jumps has faded.
    const share = judge.state === 'jumping' && square < judge.roughCounts2 ? CALM_SHARE : SHARE
    judge.roughCounts2 += share * (Math.min(square, most2) - judge.roughCounts2)
  }
  const rough2 = judge.roughCounts2 / 6
  const noise2 = Math.max(rough2, LEAST_NOISE_COUNTS * LEAST_NOISE_COUNTS)
  judge.varianceKelvin2 = noise2 * perCount * perCount
  return judge.varianceKelvin2 > ROUGH_CELSIUS * ROUGH_CELSIUS ? 'jumping' : 'ok'
}
