/**
 * What the observer is told of the session: a new bath flows in, the tank is full, drains, is empty; and how the model
 * goes on with what the tank holds.
 *
 * A press is known with its exact moment, up to a tick in the past: the model goes on to that moment with the old
 * contents (back, where it was already past it) and from there with the new ones. What the session says is not believed
 * blindly: a volume or a temperature that no bath has is replaced by a guess that is known to be one.
 */
import type { BathSense } from './bathSense.ts'
import { WATER_JOULES_PER_MILLILITRE_KELVIN } from './heat.ts'
import { advanceDrain, advanceEmpty, advanceFull, advancePour } from './heatStep.ts'
import { beginPour, closePour, startAt } from './observer.ts'
import type { Underway } from './underway.ts'

/** How well a tank has the temperature of a room, when no reading was ever good: all that is known is that a room is a room. */
const UNKNOWN_SIGMA_CELSIUS = 5
/** Where the session does not say what is poured: a small tank, and a bath between tap and kettle. */
const UNKNOWN_MILLILITRES = 300
const UNKNOWN_POUR_SIGMA_CELSIUS = 10
/** What lag, conductance and heat may change from bath to bath: one sigma of their logarithms (assumed). */
const LAG_CHANGE = 0.02
const CONDUCTANCE_CHANGE = 0.1
const HEAT_CHANGE = 0.03
/** The model never goes on in steps longer than this. */
const LONGEST_STEP_SECONDS = 1.5
/** After a pause longer than this (a board that was off) no more than this is caught up with. */
const LONGEST_PAUSE_SECONDS = 3600

/** The model goes on to `untilSeconds` with the contents as they are; a little back where it was already past that. */
export function goOn(sense: BathSense, underway: Underway, untilSeconds: number): void {
  const observer = sense.observer
  let left = untilSeconds - sense.modelSeconds
  if (left > LONGEST_PAUSE_SECONDS) left = LONGEST_PAUSE_SECONDS
  sense.modelSeconds = untilSeconds
  if (isNaN(observer.probeCelsius)) return
  const rate = sense.rate
  while (left > 1e-6 || left < -1e-6) {
    const step = left > LONGEST_STEP_SECONDS ? LONGEST_STEP_SECONDS / 1.5 : left
    left -= step
    if (sense.contents === 'full') advanceFull(observer, step, underway.motorDuty !== 0, rate, sense.counting)
    else if (sense.contents === 'filling') advancePour(observer, step, underway.fillSeconds, rate, sense.counting)
    else if (sense.contents === 'draining')
      advanceDrain(observer, step, stillIn(sense, underway, left), rate, sense.counting)
    else advanceEmpty(observer, step)
  }
}

/** What a draining tank still holds, `beforeSeconds` before the moment to which the model goes on. */
function stillIn(sense: BathSense, underway: Underway, beforeSeconds: number): number {
  const drained = sense.modelSeconds - beforeSeconds - sense.drainFromSeconds
  const full = sense.observer.fullMillilitres
  const left = underway.drainSeconds > 0 ? full * (1 - drained / underway.drainSeconds) : 0
  // A tank that takes longer than its time still holds a little, which keeps the bath's temperature.
  return Math.max(left, 0.1 * full)
}

export function changeContents(sense: BathSense, underway: Underway, nowSeconds: number): void {
  const observer = sense.observer
  let since = underway.sinceSeconds
  // A moment in the future, or before what a press can be, is none: what counts is what was seen.
  if (!(since <= nowSeconds && since > nowSeconds - LONGEST_PAUSE_SECONDS)) since = nowSeconds
  goOn(sense, underway, since)
  const from = sense.contents
  const to = underway.contents
  sense.contents = to
  // A tank that was empty and is full or draining was filled while nobody looked.
  if (to === 'filling' || (from === 'empty' && to !== 'empty')) begin(sense, underway)
  if (to !== 'filling' && observer.pouring) closePour(observer)
  if (to === 'full') {
    sense.counting = true
  } else if (to === 'draining') {
    sense.counting = true
    sense.drainFromSeconds = since
  } else if (to === 'empty') {
    sense.counting = false
    sense.wet = true
  }
}

/**
 * What the film gets while a bath flows into a colder tank is known worse than the filter's straight lines say: the rate
 * bends, and the mixing is only modelled. One sigma of progress for each kelvin between them (from simulated evenings).
 */
const UNSURE_FOR_EACH_KELVIN = 0.00025

/** First contact of a new bath. */
function begin(sense: BathSense, underway: Underway): void {
  const observer = sense.observer
  const p = observer.covariance
  sense.rate = underway.rate
  if (!sense.lagKnown) p[14] += LAG_CHANGE * LAG_CHANGE
  p[20] += CONDUCTANCE_CHANGE * CONDUCTANCE_CHANGE
  p[27] += HEAT_CHANGE * HEAT_CHANGE
  if (isNaN(observer.probeCelsius)) startAt(observer, observer.roomCelsius, UNKNOWN_SIGMA_CELSIUS)
  const residue = sense.wet ? sense.residueMillilitres : 0
  const millilitres = within(underway.millilitres, 20, 20000, UNKNOWN_MILLILITRES)
  const wantedCelsius = within(underway.pourCelsius, 0, 60, observer.bodyCelsius)
  // Whoever wants a bath of so many degrees in a cold tank pours it warmer, by what the tank will take.
  const taken = Math.exp(observer.lnHeat) / (millilitres * WATER_JOULES_PER_MILLILITRE_KELVIN)
  const pourCelsius = within(wantedCelsius + (wantedCelsius - observer.bodyCelsius) * taken, 0, 60, wantedCelsius)
  const pourSigmaCelsius = within(underway.pourSigmaCelsius, 0.1, 20, UNKNOWN_POUR_SIGMA_CELSIUS)
  beginPour(observer, millilitres, residue, pourCelsius, pourSigmaCelsius)
  const unsure = UNSURE_FOR_EACH_KELVIN * (pourCelsius - observer.bodyCelsius)
  p[5] += unsure * unsure
  sense.counting = underway.startsWhen === 'contact'
}

/** `value` where it can be believed, else what to take in its place. */
function within(value: number, low: number, high: number, otherwise: number): number {
  return value >= low && value <= high ? value : otherwise
}
