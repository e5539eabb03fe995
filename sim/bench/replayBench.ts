/**
 * The simulated base for a replay: today's firmware on a plant whose baths, tank and room have the recorded temperatures.
 *
 * Pack, drive and buttons are taken to be in order, and the probe to say what the record says; none of that moves the
 * clock. What the base had learned before stands in its journal when it starts.
 */
import type { BaseFile } from '../../firmware/baseFile.ts'
import { appendRecord, openJournal } from '../../firmware/journal/journal.ts'
import { learnedBytes } from '../../firmware/journal/learnedPayload.ts'
import { KIND } from '../../firmware/journal/record.ts'
import type { Recipe } from '../../firmware/recipe/recipe.ts'
import type { Tank } from '../../firmware/tank/tank.ts'
import { crc32 } from '../crc32.ts'
import { drawBathTruth } from '../plant/bathTruth.ts'
import { STREAM } from '../plant/evening.ts'
import { createPins } from '../plant/pins.ts'
import type { Plant } from '../plant/plant.ts'
import { probeCounts } from '../plant/probe.ts'
import { createRandom } from '../plant/random.ts'
import { LOOK_ROUND_SECONDS } from '../rehearsal/asked.ts'
import { SimulatedStore } from '../store.ts'
import type { ReplayInputs } from './replayInputs.ts'
import { type Bench, openBench, restartBase } from './run.ts'
import { bathOnTrace, traceFrom } from './trace.ts'

export interface ReplaySetting {
  /** Today's, from the first whole bath on. */
  recipe: Recipe
  tank: Tank
  base: BaseFile
  films: number
  filmsPerLitre: number
  millilitres: number[]
}

/** The record of the replay itself; what was learned stands in it when the base starts. */
const STORE_BYTES = 65_536
const BLOCK_BYTES = 4096
/** One seed for all: what is left to chance here is a little noise in the probe's readings. */
const SEED = 1

/** Baths are so much warmer than recorded. The first contact is to come after `LOOK_ROUND_SECONDS`. */
export function openReplayBench(inputs: ReplayInputs, setting: ReplaySetting, warmerKelvin: number): Bench {
  const { recipe, tank, base, films, filmsPerLitre, millilitres } = setting
  const bodyCelsius = bathOnTrace(traceFrom(inputs.body), inputs.zeroSeconds)
  const bench = openBench(
    {
      recipe,
      tank,
      base,
      seed: SEED,
      filmsInTank: films,
      filmsThrough: filmsPerLitre,
      roomCelsius: inputs.room === undefined ? bodyCelsius : (inputs.room.bathCelsius[0] as number),
      millilitres,
      pourCelsius: recipe.baths.map(() => inputs.bath.bathCelsius[0] as number),
      startCharge: 1,
      exactPresses: true,
    },
    storeWith(inputs),
  )
  const { pins } = bench.plant
  bendPlant(bench.plant, inputs, tank, bodyCelsius, warmerKelvin)
  if (!isNaN(inputs.wallSeconds)) pins.wallOffsetSeconds = inputs.wallSeconds - pins.seconds - LOOK_ROUND_SECONDS
  // The base was made before the wall clock and the tank's temperature were set.
  restartBase(bench, 'power')
  return bench
}

/** A fresh journal in which stands what the base had learned. The pack's charge is not carried over: the pack is full. */
function storeWith(inputs: ReplayInputs): SimulatedStore {
  const store = new SimulatedStore({ pins: createPins(), bytes: STORE_BYTES, blockBytes: BLOCK_BYTES })
  const { learned } = inputs
  if (learned !== undefined) {
    const energy = { ...learned.energy, charge: 1, chargeSigma: 0.05 }
    appendRecord(openJournal(store, crc32), KIND.learned, learnedBytes({ ...learned, energy }))
  }
  return store
}

/** The plant does as the record says, and its probes as the record has it: calibration, warmth in air and all. */
function bendPlant(plant: Plant, inputs: ReplayInputs, tank: Tank, bodyCelsius: number, warmerKelvin: number): void {
  const { evening, pins, probe, roomProbe } = plant
  const zero = inputs.zeroSeconds
  const bath = traceFrom(inputs.bath)
  evening.forcedBath = seconds => bathOnTrace(bath, zero + seconds) + warmerKelvin
  if (inputs.room !== undefined) {
    const room = traceFrom(inputs.room)
    evening.forcedRoom = seconds => bathOnTrace(room, zero + seconds)
  }
  evening.bath = drawBathTruth(createRandom(SEED, STREAM.bath), tank, 0)
  plant.bath.bodyCelsius = bodyCelsius
  plant.bath.shellCelsius = bodyCelsius
  probe.truth.errorCelsius = 0
  probe.truth.airSelfHeatingCelsius = 0
  if (!isNaN(inputs.lagSeconds)) probe.truth.lagSeconds = inputs.lagSeconds
  probe.celsius = bodyCelsius
  pins.probeCounts = probeCounts(probe, plant.noise)
  if (roomProbe !== undefined) roomProbe.truth.errorCelsius = 0
}
