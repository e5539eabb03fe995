/**
 * What turning costs: joules for each turn of the tank, learned leg by leg and kept apart by speed, because each
 * programme of a recipe has its own.
 *
 * Assumes that within one speed a turn costs about the same (ramps and friction of the same legs). Speeds that were never
 * seen start from the base file's figure. At most `MOST_SPEEDS` are kept; a new one takes the place of the least known.
 */
import type { BaseFile } from '../baseFile.ts'

/** A recipe has at most a few programmes; more speeds than this come only from many recipes. */
export const MOST_SPEEDS = 6
/** Speeds closer than this are one and the same programme. */
const SAME_RPM = 1.5
/** The base file's figure is given the weight of this many legs; an old mean that of `MOST_LEGS`. */
const FILE_LEGS = 1
const MOST_LEGS = 100
/** One sigma of a figure nobody has measured yet, as a fraction (assumed). */
const FILE_SPREAD = 0.3
/** Shorter spells of turning than this say nothing about a turn. */
const LEAST_TURNS = 0.3
/** The speed that the base file's `turningWatts` are for. */
const FILE_RPM = 45

export interface LoadModel {
  fileJoulesPerTurn: number
  rpm: number[]
  joulesPerTurn: number[]
  legs: number[]
}

export function createLoad(base: BaseFile): LoadModel {
  return { fileJoulesPerTurn: (base.power.turningWatts * 60) / FILE_RPM, rpm: [], joulesPerTurn: [], legs: [] }
}

function slotOf(load: LoadModel, rpm: number): number {
  for (let i = 0; i < load.rpm.length; i++) {
    const off = load.rpm[i] - rpm
    if (off < SAME_RPM && off > -SAME_RPM) return i
  }
  return -1
}

/** Takes what one leg at this speed cost. Legs of no turn or no sense are left out. */
export function learnLeg(load: LoadModel, rpm: number, joules: number, turns: number): void {
  if (!(turns > LEAST_TURNS) || !(joules > 0) || !(rpm > 0) || !isFinite(joules / turns)) return
  let slot = slotOf(load, rpm)
  if (slot < 0) slot = newSlot(load, rpm)
  if (load.legs[slot] < MOST_LEGS) load.legs[slot]++
  load.joulesPerTurn[slot] += (joules / turns - load.joulesPerTurn[slot]) / load.legs[slot]
}

function newSlot(load: LoadModel, rpm: number): number {
  let slot = load.rpm.length
  if (slot >= MOST_SPEEDS) {
    slot = 0
    for (let i = 1; i < MOST_SPEEDS; i++) if (load.legs[i] < load.legs[slot]) slot = i
  }
  load.joulesPerTurn[slot] = joulesPerTurn(load, rpm)
  load.rpm[slot] = rpm
  load.legs[slot] = FILE_LEGS
  return slot
}

/** Joules for one turn at this speed: learned; of the nearest speed that was; else the base file's. */
export function joulesPerTurn(load: LoadModel, rpm: number): number {
  let nearest = -1
  let least = Infinity
  for (let i = 0; i < load.rpm.length; i++) {
    const off = Math.abs(load.rpm[i] - rpm)
    if (off < least) {
      least = off
      nearest = i
    }
  }
  return nearest < 0 ? load.fileJoulesPerTurn : load.joulesPerTurn[nearest]
}

/** One sigma of it, as a fraction. */
export function turnSpread(load: LoadModel, rpm: number): number {
  const slot = slotOf(load, rpm)
  return slot < 0 ? FILE_SPREAD : FILE_SPREAD / Math.sqrt(load.legs[slot])
}
