import { expect, test } from 'vitest'
import { METHODS } from '../../../firmware/console/methods.ts'
import { call, createRig, press, received, toTurning, wait } from './rig.ts'

test('describe says who this base is and names every method', () => {
  const { result } = call(createRig(), 'describe')
  expect(result).toMatchObject({
    base: 'evenbath',
    version: '1.2.3',
    wiring: 'bench',
    kind: 'firmware',
    slot: 'eb.a',
    good: true,
    recipe: 'colour-negative',
    protocol: 1,
    ignored: [],
  })
  expect(result?.methods).toEqual(METHODS.map(method => method.name))
})

test('status tells the session, the bath and the pack', () => {
  const rig = createRig()
  expect(call(rig, 'status').result).toMatchObject({ state: 'planned', progress: 0, alarms: [], testTurn: 'none' })
  toTurning(rig)
  const { result } = call(rig, 'status')
  expect(result?.state).toBe('turning')
  expect(result?.secondsToCue).toBeGreaterThan(10)
  expect(result?.charge).toBeGreaterThan(0.5)
  expect(rig.base.mishaps).toBe(0)
})

test('telemetry comes every so many seconds until it is stopped', () => {
  const rig = createRig()
  call(rig, 'telemetry.follow', { everySeconds: 2 })
  received(rig)
  wait(rig, 10)
  const sent = received(rig)
  expect(sent.length).toBe(5)
  expect(sent.every(one => one.method === 'telemetry' && one.id === undefined)).toBe(true)
  call(rig, 'telemetry.follow', { everySeconds: 0 })
  received(rig)
  wait(rig, 10)
  expect(received(rig)).toEqual([])
})

test('the wall clock is set', () => {
  const rig = createRig()
  expect(call(rig, 'wallClock.set', { epochSeconds: 1.8e9 }).result?.epochSeconds).toBeCloseTo(1.8e9, 3)
})

test('a start waits for a press on the base and says so', () => {
  const rig = createRig()
  const reply = call(rig, 'session.start', { recipe: 'bw-negative', millilitres: 350, films: 2 })
  expect(reply.result).toEqual({ waitsFor: 'advance', seconds: 30 })
  wait(rig, 1)
  expect(rig.pins.screen.lines.map(line => line.text)).toContain('Asked from afar:')
  expect(rig.base.session.state).toBe('planned')
  press(rig, 'advance')
  expect(rig.base.session.state).toBe('filling')
  expect(rig.base.session.recipe.name).toBe('bw-negative')
})
