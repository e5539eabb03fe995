/** The power goes in the middle of a session and comes back: nothing that was counted is lost, and nothing turns unasked. */
import { expect, test } from 'vitest'
import { tick } from '../../firmware/base.ts'
import { forEachRecord } from '../../firmware/journal/journal.ts'
import type { Keeper } from '../../firmware/journal/keeper.ts'
import { readEvent, readSummary, type Summary } from '../../firmware/journal/payloads.ts'
import { KIND } from '../../firmware/journal/record.ts'
import { tellDark } from '../../firmware/resume.ts'
import { SESSION_LOST } from '../../firmware/session/alarmTable.ts'
import type { Bench } from '../../sim/bench/run.ts'
import { drivenDuty } from '../../sim/plant/pins.ts'
import { stepPlant } from '../../sim/plant/plant.ts'
import { beyondBound, cut, open, runTo, short } from './powerCut.ts'

test('the session that the cuts are tried on has all its transitions', () => {
  const bench = open(1)
  runTo(bench, 1e6)
  expect(bench.base.session.state).toBe('finished')
  expect(bench.base.mishaps).toBe(0)
  expect(bench.plant.steps).toBeGreaterThan(1500)
})

const isDeveloping = (bench: Bench): boolean =>
  bench.base.session.bathIndex === 0 && bench.base.session.underway.contents !== 'empty'

/** Two seconds as after every restart: at rest until a press, such as the operator had just begun to make. False with a press. */
function lookAtRest(bench: Bench, label: string): boolean {
  const { pins } = bench.plant
  const presses = pins.advance.presses
  for (let i = 0; i < 20 && pins.advance.presses === presses; i++) {
    tick(bench.base)
    expect(drivenDuty(pins), label).toBe(0)
    stepPlant(bench.plant, 'nothing')
  }
  expect(bench.base.mishaps, label).toBe(0)
  return pins.advance.presses === presses
}

test('without a wall clock the bath itself tells how long it was dark, and the bound says how well', () => {
  const outside: string[] = []
  let tried = 0
  for (let at = 220; at < 1400; at += 59) {
    for (const dark of [2, 20, 90, 240, 700]) {
      const bench = open(1 + (at % 7))
      runTo(bench, at)
      if (!isDeveloping(bench)) continue
      cut(bench, dark, 'power')
      if (!lookAtRest(bench, `tick ${at}`)) continue
      tried++
      const beyond = beyondBound(bench)
      if (beyond !== '') outside.push(`tick ${at}, dark ${dark} s: ${beyond}`)
    }
  }
  expect(tried).toBeGreaterThan(90)
  expect(outside).toEqual([])
})

test('a person who knows how long it was dark says so, and the bound shrinks to what a person can know', () => {
  for (const dark of [30, 120, 400]) {
    const bench = open(2)
    runTo(bench, 700)
    cut(bench, dark, 'power')
    lookAtRest(bench, `${dark} s`)
    const before = bench.base.clock.view.boundPercent
    expect(tellDark(bench.base, dark)).toBe(true)
    lookAtRest(bench, `${dark} s`)
    expect(bench.base.clock.view.boundPercent).toBeLessThan(before)
    expect(bench.base.clock.view.boundPercent).toBeLessThan(25)
    expect(beyondBound(bench), `${dark} s`).toBe('')
  }
})

test('nobody can say how long it was dark where nothing was', () => {
  const bench = open(2)
  runTo(bench, 700)
  expect(tellDark(bench.base, 60)).toBe(false)
})

test('a session gone on with is carried to its end, and its record says that it was dark', () => {
  const bench = open(3)
  runTo(bench, 700)
  cut(bench, 15, 'power')
  expect(bench.base.session.state).toBe('held')
  expect(bench.base.session.alarms.standing).toBeGreaterThan(0)
  runTo(bench, 1e6)
  const { base, plant } = bench
  expect(base.session.state).toBe('finished')
  expect(base.mishaps).toBe(0)
  expect(plant.records).toHaveLength(2)
  const summaries: Summary[] = []
  const alarms: number[] = []
  forEachRecord((base.keeper as Keeper).journal, found => {
    const event = found.kind === KIND.event ? readEvent(found.payload) : undefined
    if (event?.kind === 'alarmRaised') alarms.push(event.alarm)
    if (found.kind === KIND.summary) summaries.push(readSummary(found.payload) as Summary)
  })
  expect(alarms).toContain(50)
  expect(summaries).toHaveLength(1)
  expect(summaries[0]).toMatchObject({ session: 1, recipe: 'short', finished: true, baths: 2, darkTimes: 1 })
})

test('a session whose recipe is gone is not gone on with, and an alarm says so', () => {
  const bench = open(1)
  runTo(bench, 700)
  bench.options = { ...bench.options, recipe: { ...short, name: 'another' } }
  cut(bench, 5, 'power')
  tick(bench.base)
  expect(bench.base.session.state).toBe('planned')
  expect(bench.base.session.alarms.level[SESSION_LOST]).toBeGreaterThan(0)
  expect(bench.base.mishaps).toBe(0)
})
