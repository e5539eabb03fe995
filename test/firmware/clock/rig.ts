/**
 * A small bench for clock and observer alone: plant, probe, senses and clock, with an operator who does as told. What
 * the tests draw populations from, without motor, session and panel.
 */
import type { BaseFile } from '../../../firmware/baseFile.ts'
import { beginBath, type Clock, createClock, tickClock } from '../../../firmware/clock/clock.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { createReadings } from '../../../firmware/readings.ts'
import { makeRate, type Rate } from '../../../firmware/recipe/rate.ts'
import type { Bath } from '../../../firmware/recipe/recipe.ts'
import { type BathSense, createBathSense, senseBath } from '../../../firmware/sense/bathSense.ts'
import { createEstimates } from '../../../firmware/sense/estimates.ts'
import { countsFromOhms, makeCurve, ohmsAt } from '../../../firmware/sense/thermistor.ts'
import { createUnderway } from '../../../firmware/sense/underway.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import { beginDrain, beginFill, closeTank, createBath, endDrain, stepBath } from '../../../sim/plant/bath.ts'
import { drawBathTruth } from '../../../sim/plant/bathTruth.ts'
import {
  createProbe,
  drawProbeTruth,
  type ProbeFailure,
  type ProbeTruth,
  probeCounts,
  stepProbe,
} from '../../../sim/plant/probe.ts'
import { between, createRandom, gaussian, type Random } from '../../../sim/plant/random.ts'

export interface Pour {
  bath: Bath
  millilitres: number
  pourCelsius: number
  /** The bath that the recipe wants, and how near to it people pour. */
  expectCelsius: number
  expectSigmaCelsius: number
}

export interface RigOptions {
  seed: number
  pours: Pour[]
  roomCelsius: number
  /** NaN for no second thermistor. */
  roomErrorCelsius: number
  lagKnown: boolean
  calibrationSigmaCelsius: number
  /** Presses differ from acts by this, and hands from the recipe's times by this fraction: one sigma each. */
  pressSigmaSeconds: number
  handSpread: number
  reactionSeconds: number
  /** The bath on a trace; undefined for the plant's own. */
  trace: ((seconds: number) => number) | undefined
  failure: ProbeFailure
  failsAtSeconds: number
  recoversAtSeconds: number
  spread: number
  watch: ((state: Watched) => void) | undefined
}

export interface Watched {
  seconds: number
  bathCelsius: number
  bodyCelsius: number
  trueProgress: number
  sense: BathSense
  clock: Clock
}

export interface BathResult {
  name: string
  progress: number
  trueProgress: number
  boundPercent: number
  errorPercent: number
  seconds: number
  outsideSheetSeconds: number
  lagSeconds: number
  trueLagSeconds: number
  bridged: number
  freed: number
  states: string[]
  clingProgress: number
}

export const FILL_SECONDS = 8
export const DRAIN_SECONDS = 10
const TICK_SECONDS = 0.1

export const RIG_DEFAULTS: Omit<RigOptions, 'pours'> = {
  seed: 1,
  roomCelsius: 20,
  roomErrorCelsius: 0,
  lagKnown: false,
  calibrationSigmaCelsius: 0.05,
  pressSigmaSeconds: 0,
  handSpread: 0.1,
  reactionSeconds: 2,
  trace: undefined,
  failure: 'none',
  failsAtSeconds: Infinity,
  recoversAtSeconds: Infinity,
  spread: 1,
  watch: undefined,
}

export function runRig(options: RigOptions): BathResult[] {
  const random = createRandom(options.seed, 71)
  const tank = defaultTank
  const base: BaseFile = {
    ...defaultBase,
    probe: { ...defaultBase.probe, calibrationSigmaCelsius: options.calibrationSigmaCelsius },
  }
  const truth = drawBathTruth(random, tank, options.spread)
  const probeTruth: ProbeTruth = drawProbeTruth(
    random,
    base.probe,
    options.lagKnown ? 0 : base.probe.lagSpread,
    options.calibrationSigmaCelsius,
  )
  const start = options.trace === undefined ? options.roomCelsius : options.trace(0)
  const bath = createBath(start, options.roomCelsius)
  const probe = createProbe(probeTruth, base.probe, base.adcBits, start)
  const roomCurve = makeCurve(defaultBase.room!, base.adcBits)
  const roomCounts = isNaN(options.roomErrorCelsius)
    ? NaN
    : countsFromOhms(roomCurve, ohmsAt(roomCurve, options.roomCelsius + options.roomErrorCelsius))

  const sense = createBathSense(base, tank, { lagKnown: options.lagKnown })
  const clock = createClock({
    reactionSeconds: options.reactionSeconds,
    reactionSigmaSeconds: 0.5,
    known: options.pressSigmaSeconds === 0,
  })
  const readings = createReadings()
  const estimates = createEstimates()
  const underway = createUnderway()
  underway.fillSeconds = FILL_SECONDS
  underway.drainSeconds = DRAIN_SECONDS
  const results: BathResult[] = []
  let tick = 0
  let rate: Rate | undefined
  let contactSeconds = NaN
  const drawHand = (seconds: number): number => seconds * Math.max(0.3, 1 + options.handSpread * gaussian(random))
  const drawPress = (): number => options.pressSigmaSeconds * gaussian(random)
  let result: BathResult | undefined

  const step = (turning: boolean): void => {
    tick++
    const seconds = tick * TICK_SECONDS
    const forced = options.trace !== undefined && !isNaN(contactSeconds) ? options.trace(seconds - contactSeconds) : NaN
    stepBath(bath, truth, TICK_SECONDS, turning, rate, forced)
    probe.failure = seconds >= options.failsAtSeconds && seconds < options.recoversAtSeconds ? options.failure : 'none'
    stepProbe(probe, bath, TICK_SECONDS)
    readings.nowSeconds = seconds
    readings.tickSeconds = TICK_SECONDS
    readings.slow = tick % 10 === 0
    if (readings.slow) {
      readings.probeCounts = probeCounts(probe, random)
      readings.roomCounts = roomCounts
    }
    estimates.nowSeconds = seconds
    estimates.tickSeconds = TICK_SECONDS
    estimates.slow = readings.slow
    underway.motorDuty = turning ? 0.4 : 0
    senseBath(sense, readings, underway, estimates)
    tickClock(clock, estimates, underway)
    if (result !== undefined && readings.slow) {
      if (estimates.bridging) result.bridged++
      if (estimates.modelFreed) result.freed++
      if (result.states.indexOf(estimates.probe) < 0) result.states.push(estimates.probe)
    }
    if (options.watch !== undefined) {
      options.watch({
        seconds,
        bathCelsius: bath.bathCelsius,
        bodyCelsius: bath.bodyCelsius,
        trueProgress: bath.trueProgress,
        sense,
        clock,
      })
    }
  }
  const press = (contents: 'filling' | 'full' | 'draining' | 'empty'): void => {
    underway.contents = contents
    underway.sinceSeconds = tick * TICK_SECONDS
  }
  // An act and its press, which may come a little before or after.
  const act = (does: () => void, contents: 'filling' | 'full' | 'draining' | 'empty', turning: boolean): void => {
    const off = Math.round(drawPress() / TICK_SECONDS)
    if (off < 0) {
      press(contents)
      for (let i = 0; i < -off; i++) step(turning)
      does()
    } else {
      does()
      for (let i = 0; i < off; i++) step(turning)
      press(contents)
    }
  }
  const waitSeconds = (seconds: number, turning: boolean): void => {
    for (let i = Math.round(seconds / TICK_SECONDS); i > 0; i--) step(turning)
  }

  // The base looks at its empty tank for a while before anything is poured.
  waitSeconds(options.trace === undefined ? 5 + between(random, 0, 30) : 2, false)
  for (let i = 0; i < options.pours.length; i++) {
    const pour = options.pours[i]
    if (i > 0) waitSeconds(options.trace === undefined ? between(random, 10, 30) : 0.5, false)
    underway.bathIndex = i
    underway.millilitres = pour.millilitres
    underway.pourCelsius = pour.expectCelsius
    underway.pourSigmaCelsius = pour.expectSigmaCelsius
    const startsWhen = pour.bath.startsWhen === undefined ? 'contact' : pour.bath.startsWhen
    underway.startsWhen = startsWhen
    const nextRate = pour.bath.kind === 'developed' ? makeRate(pour.bath, 0) : undefined
    underway.rate = nextRate
    beginBath(clock, pour.bath, 0, nextRate, { fillSeconds: FILL_SECONDS, drainSeconds: DRAIN_SECONDS })
    result = {
      name: pour.bath.name,
      progress: NaN,
      trueProgress: NaN,
      boundPercent: NaN,
      errorPercent: NaN,
      seconds: NaN,
      outsideSheetSeconds: 0,
      lagSeconds: NaN,
      trueLagSeconds: probeTruth.lagSeconds,
      bridged: 0,
      freed: 0,
      states: [],
      clingProgress: 0,
    }
    const fill = drawHand(FILL_SECONDS)
    let contactAt = NaN
    act(
      () => {
        beginFill(bath, pour.millilitres, fill * 0.9, pour.pourCelsius, startsWhen)
        rate = nextRate
        contactAt = tick * TICK_SECONDS
        if (isNaN(contactSeconds)) contactSeconds = contactAt
      },
      'filling',
      false,
    )
    waitSeconds(fill, false)
    act(() => closeTank(bath), 'full', false)
    for (let j = 0; j < 360000 && !clock.view.due; j++) step(true)
    waitSeconds(options.reactionSeconds, true)
    const drain = drawHand(DRAIN_SECONDS)
    act(() => beginDrain(bath, Infinity), 'draining', false)
    bath.drainSeconds = drain
    waitSeconds(drain - TICK_SECONDS, false)
    let emptiedAt = NaN
    act(
      () => {
        step(false)
        if (bath.phase === 'draining') endDrain(bath, truth)
        emptiedAt = tick * TICK_SECONDS
      },
      'empty',
      false,
    )
    step(false)
    result.progress = estimates.progress
    result.trueProgress = bath.trueProgress
    result.boundPercent = clock.view.boundPercent
    result.errorPercent = 100 * (bath.trueProgress / estimates.progress - 1)
    result.seconds = emptiedAt - contactAt
    result.outsideSheetSeconds = clock.view.outsideSheetSeconds
    result.lagSeconds = estimates.lagSeconds
    results.push(result)
  }
  waitSeconds(5, false)
  if (result !== undefined) result.clingProgress = bath.clingProgress
  return results
}

/** A colour developer of about 11.5 % a kelvin, and a prewet and developer in black and white: plausible, not a sheet's. */
export const COLOUR: Bath = {
  name: 'developer',
  kind: 'developed',
  rows: [
    [30, 480],
    [37.8, 195],
  ],
  usableCelsius: [30, 39],
  agitation: 'even',
}
export const BLACK_WHITE: Bath = {
  name: 'developer',
  kind: 'developed',
  rows: [
    [18, 570],
    [20, 480],
    [22, 400],
    [24, 340],
  ],
  agitation: 'even',
}
export const PREWET: Bath = { name: 'prewet', kind: 'timed', seconds: 60, agitation: 'even' }

/** A session as they come: rooms, volumes and pours drawn, with a prewet or without. */
export function drawColour(seed: number): Pick<RigOptions, 'pours' | 'roomCelsius' | 'roomErrorCelsius' | 'seed'> {
  const random: Random = createRandom(seed, 72)
  const millilitres = between(random, 250, 600)
  const pours: Pour[] = []
  const expected = between(random, 37, 39)
  const prewet = between(random, 0, 1) < 0.5
  const pour = (bath: Bath): Pour => ({
    bath,
    millilitres,
    pourCelsius: expected + between(random, -2, 2),
    expectCelsius: expected,
    expectSigmaCelsius: 4,
  })
  if (prewet) pours.push(pour(PREWET))
  pours.push(pour(COLOUR))
  return {
    seed,
    pours,
    roomCelsius: between(random, 10, 32),
    roomErrorCelsius: between(random, 0, 1) < 0.5 ? NaN : 0.5 * gaussian(random),
  }
}

export function drawBlackWhite(seed: number): Pick<RigOptions, 'pours' | 'roomCelsius' | 'roomErrorCelsius' | 'seed'> {
  const random: Random = createRandom(seed, 73)
  const millilitres = between(random, 250, 600)
  const pours: Pour[] = []
  const expected = between(random, 19, 23)
  const pour = (bath: Bath): Pour => ({
    bath,
    millilitres,
    pourCelsius: expected + between(random, -2, 2),
    expectCelsius: expected,
    expectSigmaCelsius: 4,
  })
  if (between(random, 0, 1) < 0.5) pours.push(pour(PREWET))
  pours.push(pour(BLACK_WHITE))
  return {
    seed,
    pours,
    roomCelsius: between(random, 10, 32),
    roomErrorCelsius: between(random, 0, 1) < 0.5 ? NaN : 0.5 * gaussian(random),
  }
}
