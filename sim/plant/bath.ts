/**
 * The bath as it really is: heats in a row (bath, body of the tank with reels and film, its
 * outer shell, room), a pour that mixes with the
 * residue and the cold tank, a drain, and what clings to the film afterwards. Also the truth about development, which
 * the firmware can only estimate.
 *
 * Assumes a well-mixed bath, a body of one temperature, and no evaporation from a closed tank. On a trace the bath has
 * the temperature that the caller gives and the rest follows. Exchange of heat in one step is the rational
 * approximation x/(1 + x/2) of 1 - exp(-x), stable for any step. Nothing fails: a temperature that is no number given
 * as forced means that none is forced.
 */
import type { Rate } from '../../firmware/recipe/rate.ts'
import { secondsAt } from '../../firmware/recipe/rate.ts'
import type { BathTruth } from './bathTruth.ts'
import { waterGramsPerMillilitre, waterJoulesPerGramKelvin } from './water.ts'

export interface BathState {
  phase: 'empty' | 'filling' | 'full' | 'draining'
  /** Since the phase began. */
  phaseSeconds: number
  /** What the tank holds now, residue counted in, and what it holds when full. */
  millilitres: number
  fullMillilitres: number
  /** 0 to 1. */
  filledFraction: number
  fillSeconds: number
  drainSeconds: number
  pourCelsius: number
  /** Heat of one millilitre of this bath, at the temperature at which it was poured. */
  joulesPerMillilitreKelvin: number
  bathCelsius: number
  bodyCelsius: number
  shellCelsius: number
  roomCelsius: number
  /** The time counts: from first contact, or from full. */
  counting: boolean
  /** What the film has got, to the end of the drain; and from what clung to it afterwards. */
  trueProgress: number
  clingProgress: number
  /** 1 / seconds at the last step's temperature; NaN when there was none. */
  lastRate: number
  lastCelsius: number
}

/** An empty, dry tank that has stood long enough to have `startCelsius` throughout. */
export function createBath(startCelsius: number, roomCelsius: number): BathState {
  return {
    phase: 'empty',
    bathCelsius: startCelsius,
    bodyCelsius: startCelsius,
    shellCelsius: startCelsius,
    filledFraction: 0,
    roomCelsius,
    millilitres: 0,
    phaseSeconds: 0,
    joulesPerMillilitreKelvin: 4.18,
    lastRate: NaN,
    lastCelsius: NaN,
    counting: false,
    fullMillilitres: 1,
    trueProgress: 0,
    drainSeconds: 0,
    fillSeconds: 0,
    pourCelsius: startCelsius,
    clingProgress: 0,
  }
}

/**
 * First contact: `millilitres` at `pourCelsius` begin to flow in, evenly over `fillSeconds`, onto the residue of the
 * bath before, which has the body's temperature. Progress starts from 0 here, and counts at once if `startsWhen` is
 * `contact`.
 */
export function beginFill(
  bath: BathState,
  millilitres: number,
  fillSeconds: number,
  pourCelsius: number,
  startsWhen: 'contact' | 'full',
): void {
  bath.phase = 'filling'
  bath.phaseSeconds = 0
  bath.fullMillilitres = bath.millilitres + millilitres
  bath.fillSeconds = fillSeconds
  bath.pourCelsius = pourCelsius
  bath.joulesPerMillilitreKelvin = waterGramsPerMillilitre(pourCelsius) * waterJoulesPerGramKelvin(pourCelsius)
  bath.bathCelsius = bath.millilitres > 0 ? bath.bodyCelsius : pourCelsius
  bath.filledFraction = bath.millilitres / bath.fullMillilitres
  bath.counting = startsWhen === 'contact'
  bath.trueProgress = 0
  bath.clingProgress = 0
  bath.lastRate = NaN
}

/** Full and closed: what was still to be poured is in, and the time counts. */
export function closeTank(bath: BathState): void {
  if (bath.phase === 'filling') pourIn(bath, bath.fullMillilitres - bath.millilitres)
  bath.phase = 'full'
  bath.phaseSeconds = 0
  bath.filledFraction = 1
  bath.counting = true
}

/** A second bottle goes into a full bath, whoever thought of it. */
export function pourMore(bath: BathState, millilitres: number, celsius: number): void {
  bath.pourCelsius = celsius
  pourIn(bath, millilitres)
  bath.fullMillilitres = bath.millilitres
}

/** The drain begins and will be over after `drainSeconds`, or when `endDrain` says so. */
export function beginDrain(bath: BathState, drainSeconds: number): void {
  bath.phase = 'draining'
  bath.phaseSeconds = 0
  bath.drainSeconds = drainSeconds
}

/** Empty: only the residue is left, and what the film gets from now on is counted apart. */
export function endDrain(bath: BathState, truth: BathTruth): void {
  bath.phase = 'empty'
  bath.phaseSeconds = 0
  bath.millilitres = Math.min(bath.millilitres, truth.residueMillilitres)
  bath.filledFraction = 0
  bath.counting = false
}

function pourIn(bath: BathState, millilitres: number): void {
  const total = bath.millilitres + millilitres
  if (total > 0) bath.bathCelsius += ((bath.pourCelsius - bath.bathCelsius) * millilitres) / total
  bath.millilitres = total
}

function moveLiquid(bath: BathState, truth: BathTruth, dtSeconds: number): void {
  if (bath.phase === 'filling') {
    const left = bath.fullMillilitres - bath.millilitres
    if (left > 0) {
      const wanted = bath.fillSeconds > 0 ? (bath.fullMillilitres * dtSeconds) / bath.fillSeconds : left
      pourIn(bath, wanted < left ? wanted : left)
      bath.filledFraction = bath.millilitres / bath.fullMillilitres
    }
  } else if (bath.phase === 'draining') {
    const fraction = bath.drainSeconds > 0 ? 1 - bath.phaseSeconds / bath.drainSeconds : 0
    bath.filledFraction = fraction > 0 ? fraction : 0
    bath.millilitres = Math.max(truth.residueMillilitres, bath.fullMillilitres * bath.filledFraction)
  }
}

/** Heat between bath, body, shell and room in one step. */
function exchange(bath: BathState, truth: BathTruth, dtSeconds: number, turning: boolean, forced: boolean): void {
  const roomWatts = turning ? truth.roomTurningWattsPerKelvin : truth.roomStandingWattsPerKelvin
  const body = truth.bodyJoulesPerKelvin
  const toShell = (bath.bodyCelsius - bath.shellCelsius) * truth.shellWattsPerKelvin
  const toRoom = (bath.shellCelsius - bath.roomCelsius) * roomWatts
  bath.bodyCelsius -= (toShell * dtSeconds) / body
  bath.shellCelsius += ((toShell - toRoom) * dtSeconds) / truth.shellJoulesPerKelvin
  const liquid = bath.millilitres * bath.joulesPerMillilitreKelvin
  if (bath.phase === 'empty' || !(liquid > 0)) {
    if (!forced) bath.bathCelsius = bath.bodyCelsius
    return
  }
  const fraction = bath.filledFraction
  const wetted = fraction >= 1 ? 1 : fraction ** truth.wettedExponent
  const conductance = wetted * (turning ? truth.turningWattsPerKelvin : truth.standingWattsPerKelvin)
  const x = conductance * dtSeconds * (forced ? 1 / body : 1 / body + 1 / liquid)
  const joules = ((bath.bathCelsius - bath.bodyCelsius) * conductance * dtSeconds) / (1 + x / 2)
  bath.bodyCelsius += joules / body
  if (!forced) bath.bathCelsius -= joules / liquid
}

function develop(bath: BathState, truth: BathTruth, dtSeconds: number, rate: Rate): void {
  const clinging = bath.phase === 'empty'
  if (!bath.counting && !(clinging && bath.trueProgress > 0)) return
  const celsius = bath.bathCelsius
  if (isNaN(bath.lastRate)) bath.lastRate = 1 / secondsAt(rate, celsius)
  const now = celsius === bath.lastCelsius ? bath.lastRate : 1 / secondsAt(rate, celsius)
  const step = 0.5 * (bath.lastRate + now) * dtSeconds
  bath.lastRate = now
  bath.lastCelsius = celsius
  if (!clinging) bath.trueProgress += step
  else bath.clingProgress += step * Math.exp(-bath.phaseSeconds / truth.exhaustSeconds)
}

/**
 * One step. `turning`: the tank turns now. `rate`: of the bath that is in the tank, `undefined` for one that runs by
 * time. `forcedCelsius`: the bath's temperature at the end of the step on a trace, else NaN. Film that drains goes on
 * developing at full rate; what clings after the drain acts on while it is used up.
 */
export function stepBath(
  bath: BathState,
  truth: BathTruth,
  dtSeconds: number,
  turning: boolean,
  rate: Rate | undefined,
  forcedCelsius: number,
): void {
  bath.phaseSeconds += dtSeconds
  const forced = !isNaN(forcedCelsius)
  if (bath.phase === 'filling' || bath.phase === 'draining') moveLiquid(bath, truth, dtSeconds)
  if (forced) {
    bath.bathCelsius = forcedCelsius
    bath.pourCelsius = forcedCelsius
  }
  exchange(bath, truth, dtSeconds, turning, forced)
  if (rate !== undefined) develop(bath, truth, dtSeconds, rate)
  if (bath.phase === 'draining' && bath.phaseSeconds >= bath.drainSeconds - 1e-9 && isFinite(bath.drainSeconds)) {
    endDrain(bath, truth)
  }
}
