/** Every fault does something, and leaves no trace where it is over. */
import { expect, test } from 'vitest'
import { drawScenario, has } from '../../../sim/faults/draw.ts'
import type { Acting } from '../../../sim/faults/injector.ts'
import { INJECTORS } from '../../../sim/faults/injectors.ts'
import { createPerson, type Person, stepPerson } from '../../../sim/faults/person.ts'
import { createRig, type Rig, runTicks, watchBoard } from '../../../sim/faults/rig.ts'
import { FAULT_NAMES, FAULTS, type FaultName } from '../../../sim/faults/table.ts'
import { stepPlant } from '../../../sim/plant/plant.ts'

/** A session on a base that has everything, in its first bath. */
function turning(): { rig: Rig; person: Person } {
  let seed = 1
  while (FAULT_NAMES.some(name => !has(drawScenario(seed).run.base, FAULTS[name].needs))) seed++
  const rig = createRig({ ...drawScenario(seed), wallClockSet: true })
  const person = createPerson(seed)
  for (let i = 0; i < 450; i++) step(rig, person)
  expect(rig.base?.session.state).toBe('turning')
  return { rig, person }
}

function step(rig: Rig, person: Person): void {
  runTicks(rig, () => {})
  stepPerson(rig, person)
  stepPlant(rig.plant, 'nothing')
  watchBoard(rig)
}

/** Everything that a fault may lay hands on, apart from what moves by itself. */
function sound(rig: Rig, person: Person): string {
  const { plant, store, panels, ticking } = rig
  const { motor, rollers, pack, probe } = plant
  const near = (value: number): number => Math.round(value * 1e6) / 1e6
  return JSON.stringify({
    probe: [probe.failure, near(probe.truth.errorCelsius), probe.truth.noiseCounts],
    counters: [plant.shaftCounter.dead, plant.tankCounter.dead],
    rollers: [rollers.fault, near(rollers.extraSlip), near(rollers.load.frictionNewtonMetres)],
    motor: [near(motor.jamNewtonMetres), motor.weakFraction],
    pack: [pack.cutOff, near(pack.resistanceOhms), near(pack.truth.capacityCoulombs), pack.truth.weakCellFactor],
    board: [
      store.full,
      store.worn.includes(true),
      panels.screenGone,
      panels.sounderGone,
      ticking.missedShare,
      rig.lineRead,
    ],
    buttons: [person.buttons.advance, person.buttons.hold].map(({ bounces, jammed, dead }) => [bounces, jammed, dead]),
    person: [person.lateSeconds, person.earlySeconds, person.forgetsSeconds, person.away],
  })
}

/** What the board would see, and what the plant does, over some steps. */
function trace(rig: Rig, person: Person, acting: Acting, name: FaultName): string {
  const seen: unknown[] = []
  for (let i = 0; i < 40; i++) {
    step(rig, person)
    INJECTORS[name].each?.(acting)
    const { pins, pack, rollers, motor } = rig.plant
    seen.push([pins.probeCounts, pins.roomCounts, pins.shaftEdges, pins.tankEdges, pins.packVolts, pins.motorAmps])
    seen.push([
      pins.advance,
      pins.hold,
      pins.lineIn,
      pins.lineOut.length,
      pins.wallOffsetSeconds,
      rig.base === undefined,
    ])
    seen.push([
      pack.charge,
      rollers.tankTurns,
      motor.packAmps,
      rig.plant.bath.bathCelsius,
      rig.base?.estimates.nowSeconds,
    ])
    seen.push([rig.panels.frames, rig.panels.tunes, rig.plant.bath.phase, sound(rig, person)])
  }
  return JSON.stringify(seen)
}

for (const name of FAULT_NAMES) {
  test(`${name} does something, and is gone when it is over`, () => {
    const untouched = turning()
    const without = trace(untouched.rig, untouched.person, { ...untouched, strength: 0, kept: 0 }, 'flashBitRot')
    const { rig, person } = turning()
    const before = sound(rig, person)
    const { range, lasts } = FAULTS[name]
    const acting: Acting = { rig, person, strength: range[0] + 0.8 * (range[1] - range[0]), kept: 0 }
    const cells = rig.store.read(0, rig.store.bytes)
    INJECTORS[name].begin(acting)
    const wasSent = rig.plant.pins.lineIn !== ''
    const changed = name === 'flashBitRot' ? rig.store.read(0, rig.store.bytes) : cells
    const withFault = trace(rig, person, acting, name)
    // What is kept for the next pour or the next write shows only then.
    const waits = name === 'wrongPour' ? person.pourOffCelsius !== 0 : name === 'flashTorn' && rig.starts > 0
    expect(withFault !== without || changed.some((byte, i) => byte !== cells[i]) || waits || wasSent).toBe(true)
    if (lasts[1] === 0) return
    INJECTORS[name].end?.(acting)
    rig.plant.driverFault?.(0)
    expect(sound(rig, person)).toBe(before)
    expect(rig.plant.driverFault).toBeUndefined()
  })
}
