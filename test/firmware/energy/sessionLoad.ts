/**
 * A simplified session for tests of the energy room: legs with ramps and reversal pulses on the simulated pack, the real
 * pack sense and the real energy room, and nothing else. What the drive of one base really draws is drawn from a seed.
 */
import type { AgitationView } from '../../../firmware/agitation/view.ts'
import type { BaseFile } from '../../../firmware/baseFile.ts'
import { beginSession, budgetSession, endSession, HANDLING_SECONDS } from '../../../firmware/energy/budget.ts'
import { createEnergy, type EnergyState, tickEnergy } from '../../../firmware/energy/energy.ts'
import { createReadings, type Readings } from '../../../firmware/readings.ts'
import type { Agitation, Recipe } from '../../../firmware/recipe/recipe.ts'
import { createEstimates, type Estimates } from '../../../firmware/sense/estimates.ts'
import { createPackSense, type PackSense, sensePack } from '../../../firmware/sense/pack.ts'
import { MOTOR_AMPS_SIGMA, PACK_VOLTS_SIGMA, type PackState, stepPack } from '../../../sim/plant/pack.ts'
import { between, gaussian, type Random } from '../../../sim/plant/random.ts'

const TICK = 0.1

/** What one base's drive and electronics really draw. */
export interface TrueLoad {
  turningWatts: number
  electronicsWatts: number
  screenWatts: number
  senseGain: number
}

export function drawLoad(random: Random, base: BaseFile): TrueLoad {
  return {
    turningWatts: base.power.turningWatts * between(random, 0.7, 1.3),
    electronicsWatts: base.power.electronicsWatts * between(random, 0.9, 1.1),
    screenWatts: base.power.screenWatts * between(random, 0.8, 1.2),
    senseGain: between(random, 0.99, 1.01),
  }
}

export interface Bench {
  base: BaseFile
  pack: PackState
  load: TrueLoad
  random: Random
  energy: EnergyState
  sense: PackSense
  readings: Readings
  estimates: Estimates
  agitation: AgitationView
  ticks: number
  screenOn: boolean
  /** The drive does not follow the shedding: then every session takes what it takes. */
  stubborn: boolean
  stopped: boolean
  onTick: ((bench: Bench) => void) | undefined
}

export function createBench(base: BaseFile, pack: PackState, load: TrueLoad, random: Random): Bench {
  return {
    base,
    pack,
    load,
    random,
    energy: createEnergy(base),
    sense: createPackSense(base),
    readings: createReadings(),
    estimates: createEstimates(),
    agitation: {
      duty: 0,
      targetRpm: 0,
      direction: 0,
      legs: 0,
      reversals: 0,
      atRest: true,
      stalledForGood: false,
      retrying: false,
    },
    ticks: 0,
    screenOn: true,
    stubborn: false,
    stopped: false,
    onTick: undefined,
  }
}

/** One tick of 0.1 s with the tank at this speed; `rising` while it is being brought up to it. */
export function tickBench(bench: Bench, rpm: number, rising: boolean): void {
  const { base, pack, load, random, readings, estimates, agitation } = bench
  const screen = bench.screenOn && (bench.stubborn || bench.energy.view.shedding === 0)
  // Friction as the speed, and the flywheel of tank and bath on the way up.
  const motorWatts = (load.turningWatts * rpm) / 45 + (rising ? 0.6 : 0)
  const others = load.electronicsWatts + (screen ? load.screenWatts : 0)
  const volts = pack.packVolts > 1 ? pack.packVolts : 1
  const motorAmps = motorWatts / volts
  stepPack(pack, motorAmps + others / volts, TICK)
  bench.ticks++
  readings.tickSeconds = TICK
  readings.nowSeconds = bench.ticks * TICK
  readings.slow = bench.ticks % 10 === 0
  readings.packVolts = pack.packVolts + PACK_VOLTS_SIGMA * gaussian(random)
  readings.motorAmps = base.pack.currentSense ? motorAmps * load.senseGain + MOTOR_AMPS_SIGMA * gaussian(random) : NaN
  estimates.tickSeconds = TICK
  estimates.nowSeconds = readings.nowSeconds
  estimates.slow = readings.slow
  estimates.roomCelsius = pack.truth.celsius
  estimates.tankTravelTurns += (rpm / 60) * TICK
  sensePack(bench.sense, readings, estimates)
  agitation.direction = rpm === 0 ? 0 : agitation.legs % 2 === 0 ? 1 : -1
  agitation.targetRpm = rpm * agitation.direction
  agitation.atRest = rpm === 0
  tickEnergy(bench.energy, estimates, agitation, screen)
  if (bench.energy.view.empty || pack.cutOff) bench.stopped = true
  if (bench.onTick !== undefined) bench.onTick(bench)
}

export function rest(bench: Bench, seconds: number): void {
  for (let i = 0; i < seconds / TICK && !bench.stopped; i++) tickBench(bench, 0, false)
}

/** One leg of a trapezium and its rest; gives the seconds it took. */
export function turnLeg(bench: Bench, rpm: number, turns: number, rampSeconds: number, restSeconds: number): number {
  const cruise = (turns * 60) / rpm - rampSeconds
  const steps = Math.max(1, Math.round((cruise + 2 * rampSeconds) / TICK))
  const ramp = Math.max(1, Math.round(rampSeconds / TICK))
  bench.agitation.legs++
  for (let i = 0; i < steps && !bench.stopped; i++) {
    const up = Math.min(1, (i + 1) / ramp)
    const down = Math.min(1, (steps - i) / ramp)
    tickBench(bench, rpm * Math.min(up, down), up < 1)
  }
  bench.agitation.reversals++
  rest(bench, restSeconds)
  return steps * TICK + restSeconds
}

function turnFor(bench: Bench, agitation: Agitation, seconds: number): void {
  let left = seconds
  if (agitation.opening !== undefined) {
    left -= agitation.opening.seconds
    const turns = (agitation.opening.rpm * agitation.opening.seconds) / 60
    turnLeg(bench, agitation.opening.rpm, turns, agitation.rampSeconds, agitation.restSeconds)
  }
  let k = 0
  while (left > 0 && !bench.stopped) {
    k++
    const stagger = agitation.stagger ? ((k * 0.6180339887) % 1) - 0.5 : 0
    const shed = bench.stubborn ? 0 : bench.energy.view.shedding
    const rpm = shed >= 3 ? (agitation.leastRpm ?? agitation.rpm) : agitation.rpm
    const pause = shed >= 2 ? 3 * agitation.restSeconds : agitation.restSeconds
    left -= turnLeg(bench, rpm, agitation.legTurns + stagger, agitation.rampSeconds, pause)
  }
}

/** Seconds of each bath as this operator and this room make them: the recipe's times, a little off. */
export function bathTimes(recipe: Recipe, seconds: number[], random: Random): number[] {
  return recipe.baths.map((_, i) => seconds[i] * between(random, 0.97, 1.06))
}

/** A whole session with handling between baths, until it is done or the pack is empty. True when it was finished. */
export function runSession(bench: Bench, recipe: Recipe, times: number[]): boolean {
  rest(bench, 10)
  budgetSession(bench.energy, recipe, undefined, 0, NaN)
  beginSession(bench.energy)
  recipe.baths.forEach((bath, i) => {
    if (bench.stopped) return
    budgetSession(bench.energy, recipe, undefined, i, NaN)
    rest(bench, HANDLING_SECONDS * between(bench.random, 0.6, 1.6) + recipe.pour.fillSeconds)
    const turning = times[i] - recipe.pour.fillSeconds - recipe.pour.drainSeconds
    turnFor(bench, recipe.agitations[bath.agitation], turning)
    rest(bench, recipe.pour.drainSeconds)
  })
  endSession(bench.energy, !bench.stopped)
  return !bench.stopped
}
