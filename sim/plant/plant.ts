/**
 * The simulated base, tank, room and operator, put together: one step is a tenth of a second. Everything true about a
 * session is here; the firmware sees only the pins.
 *
 * Knows no Node and nothing of the firmware but the shapes of its files, its sheet's rate and its geometry.
 */
import type { BaseFile } from '../../firmware/baseFile.ts'
import type { Rate } from '../../firmware/recipe/rate.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import { liquidLevelMillimetres } from '../../firmware/tank/geometry.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import { type BathState, beginDrain, beginFill, closeTank, createBath, endDrain, stepBath } from './bath.ts'
import { type Evening, STREAM } from './evening.ts'
import {
  beginEvenness,
  type Evenness,
  type EvennessReport,
  endEvenness,
  immersedHalfAngle,
  tickEvenness,
} from './evenness.ts'
import { createMotor, type GearMotor, stepMotor } from './motor.ts'
import { type Act, type Asked, createOperator, type Operator, stepOperator } from './operator.ts'
import { createPackPlant, MOTOR_AMPS_SIGMA, PACK_VOLTS_SIGMA, type PackState, stepPack } from './pack.ts'
import { createPins, drivenDuty, type Pins } from './pins.ts'
import { createProbe, type ProbeState, probeCounts, stepProbe } from './probe.ts'
import { createRandom, gaussian, type Random } from './random.ts'
import { createRollers, loadRollers, type Rollers, stepRollers } from './rollers.ts'
import { createEdgeCounter, type EdgeCounter, stepEdgeCounter } from './rotationSensing.ts'

export const STEP_SECONDS = 0.1
/** Steps between two conversions of the analogue channels. */
const CONVERT_STEPS = 10
/** The base has been on for a while when a session begins: a clock that starts at 0 would hide mistakes. */
const ON_SINCE_SECONDS = 60
/** Slower than this the bath is not stirred. */
const STIRRING_RPM = 5

/** What really happened to one bath. Seconds are the plant's. */
export interface BathTruthRecord {
  contactSeconds: number
  /** Of the pour-out: the drain's beginning and its end. NaN while it has not come. */
  drainSeconds: number
  endSeconds: number
  trueProgress: number
  clingProgress: number
  celsiusSeconds: number
  lowCelsius: number
  highCelsius: number
  outsideSheetSeconds: number
  evenness: EvennessReport
}

export interface Plant {
  pins: Pins
  evening: Evening
  recipe: Recipe
  tank: Tank
  base: BaseFile
  rates: (Rate | undefined)[]
  steps: number
  bath: BathState
  probe: ProbeState
  roomProbe: ProbeState | undefined
  motor: GearMotor
  rollers: Rollers
  shaftCounter: EdgeCounter
  tankCounter: EdgeCounter
  pack: PackState
  operator: Operator
  /** `undefined` where nobody asks how evenly the film was wetted: it takes 7 kB. */
  evenness: Evenness | undefined
  noise: Random
  /** The bath in the tank or poured last; −1 before the first. */
  bathIndex: number
  /** First contact of all; NaN before it. */
  firstContactSeconds: number
  records: BathTruthRecord[]
  /** What the base's electronics draw, the screen counted in. */
  electronicsWatts: number
  /** Fault hook: what a driver that is broken or wired wrongly makes of the duty it is given. */
  driverFault: ((duty: number) => number) | undefined
}

/** `rates` are the true rates of the baths, `undefined` for a bath by time; `evenness` a fresh one, or none is kept. */
export function createPlant(
  recipe: Recipe,
  tank: Tank,
  base: BaseFile,
  rates: (Rate | undefined)[],
  evening: Evening,
  evenness: Evenness | undefined,
): Plant {
  const startCelsius = evening.forcedBath === undefined ? evening.roomCelsius : evening.forcedBath(0)
  const motors = createRandom(evening.seed, STREAM.motor)
  const motor = createMotor(base, motors)
  const rollers = createRollers(base, motors)
  loadRollers(rollers, motor, 0)
  const pins = createPins()
  pins.seconds = ON_SINCE_SECONDS
  const plant: Plant = {
    pins,
    evening,
    recipe,
    tank,
    base,
    rates,
    steps: 0,
    bath: createBath(startCelsius, evening.roomCelsius),
    probe: createProbe(evening.probe, base.probe, base.adcBits, startCelsius),
    roomProbe:
      base.room && evening.roomProbe && createProbe(evening.roomProbe, base.room, base.adcBits, evening.roomCelsius),
    motor,
    rollers,
    shaftCounter: createEdgeCounter(base.rotation.edgesPerShaftTurn, motors),
    tankCounter: createEdgeCounter(base.rotation.magnetsOnTank, motors),
    pack: createPackPlant(evening.pack, evening.startCharge),
    operator: createOperator(evening.habits, recipe.pour, createRandom(evening.handsSeed, STREAM.hands + 100)),
    evenness,
    noise: createRandom(evening.seed, STREAM.noise),
    bathIndex: -1,
    firstContactSeconds: NaN,
    records: [],
    electronicsWatts: base.power.electronicsWatts + base.power.screenWatts,
    driverFault: undefined,
  }
  convert(plant)
  measureSupply(plant)
  return plant
}

/** Seconds since the first contact of all; what a trace is written in. */
export function sessionSeconds(plant: Plant): number {
  return plant.pins.seconds - plant.firstContactSeconds
}

/** The operator looks at what the screen asks and acts; then a tenth of a second goes by. */
export function stepPlant(plant: Plant, asked: Asked): void {
  const act = stepOperator(plant.operator, asked, plant.pins)
  if (act !== 'none') handle(plant, act)
  plant.steps++
  const pins = plant.pins
  const wanted = drivenDuty(pins)
  const duty = plant.driverFault === undefined ? wanted : plant.driverFault(wanted)
  pins.seconds = ON_SINCE_SECONDS + plant.steps * STEP_SECONDS
  turn(plant, duty)
  const rollers = plant.rollers
  const stirred = rollers.tankRpm > STIRRING_RPM || rollers.tankRpm < -STIRRING_RPM
  const rate = plant.bathIndex < 0 ? undefined : plant.rates[plant.bathIndex]
  const phaseBefore = plant.bath.phase
  stepBath(plant.bath, plant.evening.bath, STEP_SECONDS, stirred, rate, forcedCelsius(plant))
  stepProbe(plant.probe, plant.bath, STEP_SECONDS)
  if (phaseBefore !== 'empty') record(plant, rate)
  if (phaseBefore === 'draining' && plant.bath.phase === 'empty') bathEnded(plant)
  if (plant.steps % CONVERT_STEPS === 0) convert(plant)
  measureSupply(plant)
}

function turn(plant: Plant, duty: number): void {
  const { motor, rollers, pins, pack } = plant
  const tankTurnsBefore = rollers.tankTurns
  stepMotor(motor, pack.packVolts, duty, STEP_SECONDS)
  stepRollers(rollers, motor, STEP_SECONDS)
  if (plant.shaftCounter.edgesPerTurn > 0) {
    stepEdgeCounter(plant.shaftCounter, motor.shaftTurns, pins.seconds, STEP_SECONDS)
    pins.shaftEdges = plant.shaftCounter.edges
    pins.shaftEdgeSeconds = plant.shaftCounter.edgeSeconds
  }
  if (plant.tankCounter.edgesPerTurn > 0) {
    stepEdgeCounter(plant.tankCounter, rollers.tankTurns, pins.seconds, STEP_SECONDS)
    pins.tankEdges = plant.tankCounter.edges
    pins.tankEdgeSeconds = plant.tankCounter.edgeSeconds
  }
  const electronicsAmps = pack.packVolts > 0 ? plant.electronicsWatts / pack.packVolts : 0
  stepPack(pack, motor.packAmps + electronicsAmps, STEP_SECONDS)
  if (plant.evenness !== undefined && plant.bath.phase === 'full') {
    tickEvenness(plant.evenness, tankTurnsBefore, rollers.tankTurns, pins.seconds, STEP_SECONDS)
  }
}

function measureSupply(plant: Plant): void {
  const { pins, noise } = plant
  pins.packVolts = plant.pack.packVolts + PACK_VOLTS_SIGMA * gaussian(noise)
  pins.motorAmps = plant.base.pack.currentSense ? plant.motor.packAmps + MOTOR_AMPS_SIGMA * gaussian(noise) : NaN
}

function convert(plant: Plant): void {
  const { pins, roomProbe, evening } = plant
  pins.probeCounts = probeCounts(plant.probe, plant.noise)
  if (roomProbe === undefined) return
  if (evening.forcedRoom !== undefined && !isNaN(plant.firstContactSeconds)) {
    plant.bath.roomCelsius = evening.forcedRoom(sessionSeconds(plant))
  }
  roomProbe.celsius = plant.bath.roomCelsius
  pins.roomCounts = probeCounts(roomProbe, plant.noise)
}

/** NaN when nothing is forced. */
function forcedCelsius(plant: Plant): number {
  const { forcedBath } = plant.evening
  if (forcedBath === undefined) return NaN
  return forcedBath(isNaN(plant.firstContactSeconds) ? 0 : sessionSeconds(plant))
}

/** Does to the tank what a hand does: the simulated operator's, or a person's who pressed a real button. */
export function handle(plant: Plant, act: Act): void {
  const { bath, operator } = plant
  switch (act) {
    case 'beginPour':
      beginPour(plant)
      break
    case 'close':
      closeTank(bath)
      break
    case 'beginDrain':
      endTurning(plant)
      beginDrain(bath, operator.takesSeconds)
      break
    case 'emptied':
      if (bath.phase === 'draining') {
        endDrain(bath, plant.evening.bath)
        bathEnded(plant)
      }
      break
    case 'none':
      break
  }
}

function beginPour(plant: Plant): void {
  const { pins, evening, recipe, tank, bath } = plant
  closeRecord(plant)
  plant.bathIndex++
  const index = plant.bathIndex
  if (isNaN(plant.firstContactSeconds)) plant.firstContactSeconds = pins.seconds
  const millilitres = evening.millilitres[index] as number
  // On a trace the bath is what the trace says, whatever was meant to be poured.
  if (evening.forcedBath !== undefined) evening.pourCelsius[index] = forcedCelsius(plant)
  const startsWhen = recipe.baths[index]?.startsWhen ?? 'contact'
  beginFill(bath, millilitres, plant.operator.takesSeconds, evening.pourCelsius[index] as number, startsWhen)
  loadRollers(plant.rollers, plant.motor, millilitres)
  if (plant.evenness !== undefined) watchEvenness(plant.evenness, tank, millilitres)
  plant.records.push({
    contactSeconds: pins.seconds,
    drainSeconds: NaN,
    endSeconds: NaN,
    trueProgress: 0,
    clingProgress: 0,
    celsiusSeconds: 0,
    lowCelsius: Infinity,
    highCelsius: -Infinity,
    outsideSheetSeconds: 0,
    evenness: { immersionCv: 0, longestDrySeconds: 0, exchangesPerMinute: 0, reversals: 0 },
  })
}

function watchEvenness(evenness: Evenness, tank: Tank, millilitres: number): void {
  const level = liquidLevelMillimetres(tank, millilitres)
  const inner = tank.filmInnerDiameterMillimetres / 2
  const outer = tank.filmOuterDiameterMillimetres / 2
  beginEvenness(evenness, {
    innerRadians: immersedHalfAngle(inner, level),
    middleRadians: immersedHalfAngle((inner + outer) / 2, level),
    outerRadians: immersedHalfAngle(outer, level),
  })
}

function newestRecord(plant: Plant): BathTruthRecord {
  return plant.records[plant.records.length - 1] as BathTruthRecord
}

function endTurning(plant: Plant): void {
  const newest = newestRecord(plant)
  newest.drainSeconds = plant.pins.seconds
  if (plant.evenness !== undefined) newest.evenness = endEvenness(plant.evenness)
}

function bathEnded(plant: Plant): void {
  newestRecord(plant).endSeconds = plant.pins.seconds
  newestRecord(plant).trueProgress = plant.bath.trueProgress
  loadRollers(plant.rollers, plant.motor, 0)
}

/** What clung to the film acts until the next bath: it is known only then. */
export function closeRecord(plant: Plant): void {
  if (plant.records.length > 0) newestRecord(plant).clingProgress = plant.bath.clingProgress
}

function record(plant: Plant, rate: Rate | undefined): void {
  const newest = newestRecord(plant)
  const celsius = plant.bath.bathCelsius
  newest.celsiusSeconds += celsius * STEP_SECONDS
  if (celsius < newest.lowCelsius) newest.lowCelsius = celsius
  if (celsius > newest.highCelsius) newest.highCelsius = celsius
  if (rate !== undefined && (celsius < rate.sheetLowCelsius || celsius > rate.sheetHighCelsius)) {
    newest.outsideSheetSeconds += STEP_SECONDS
  }
}
