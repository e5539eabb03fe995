import { expect, test } from 'vitest'
import { findRecipe } from '../../../firmware/recipe/shipped/shipped.ts'
import { SimulatedFiles } from '../../../sim/board.ts'
import { createPins } from '../../../sim/plant/pins.ts'
import { call, createRig, framed, press, type Rig, received, sendRaw, step, toTurning, wait } from './rig.ts'

const plan = { recipe: 'bw-negative', millilitres: 350, films: 2, filmsThrough: 1 }

function screenOf(rig: Rig): string {
  wait(rig, 1)
  return rig.pins.screen.lines.map(line => line.text.trim()).join('|')
}

function refusal(rig: Rig, method: string, params?: unknown): string {
  const { error } = call(rig, method, params)
  expect(error?.code, method).toBe(-31000)
  return error?.message ?? ''
}

test('a start plans the session and waits for a press; the screen says so for half a minute, the plan stays', () => {
  const rig = createRig()
  expect(call(rig, 'session.start', plan).result).toEqual({ waitsFor: 'advance', seconds: 30 })
  expect(screenOf(rig)).toContain('Asked from afar:|press advance')
  wait(rig, 31)
  expect(screenOf(rig)).not.toContain('Asked from afar')
  expect(rig.base.session.state).toBe('planned')
  expect(rig.pins.motorDuty).toBe(0)
  press(rig, 'advance')
  expect(rig.base.session).toMatchObject({ state: 'filling', films: 2, filmsPerLitre: 1, millilitres: [350] })
})

test('what a plan may be is checked', () => {
  const rig = createRig()
  const wrong = [
    { ...plan, recipe: 'no-such' },
    { ...plan, millilitres: 5 },
    { ...plan, millilitres: 1e5 },
    { ...plan, millilitres: '300' },
    { ...plan, millilitres: [300].concat([300]) },
    { ...plan, millilitres: [] },
    { ...plan, films: 0 },
    { ...plan, films: 1.5 },
    { ...plan, films: 19 },
    { ...plan, filmsThrough: -1 },
    { ...plan, extra: 1 },
  ]
  for (const params of wrong)
    expect(call(rig, 'session.start', params).error?.code, JSON.stringify(params)).toBe(-32602)
  expect(rig.base.session.recipe.name).toBe('colour-negative')
  const baths = findRecipe('bw-negative')!.baths.length
  const each = Array.from({ length: baths }, (_, i) => 300 + i)
  expect(call(rig, 'session.start', { ...plan, millilitres: each }).result).toBeDefined()
  expect(rig.base.session.millilitres).toEqual(each)
})

test('no session is started while one runs', () => {
  const rig = createRig()
  toTurning(rig)
  expect(refusal(rig, 'session.start', plan)).toBe('Not in a session')
})

test('a second session is planned after the first, and what was learned of hands and pack stays', () => {
  const rig = createRig()
  toTurning(rig)
  call(rig, 'session.abandon', { confirm: true })
  step(rig)
  expect(rig.base.session.state).toBe('abandoned')
  const { clock, energy } = rig.base
  const filled = clock.fill.weight
  expect(call(rig, 'session.start', plan).result).toBeDefined()
  expect(rig.base.session.state).toBe('planned')
  expect(rig.base.clock).toBe(clock)
  expect(rig.base.energy).toBe(energy)
  expect(clock.fill.weight).toBe(filled)
  toTurning(rig)
  expect(rig.base.session.state).toBe('turning')
  expect(Math.abs(rig.pins.motorDuty)).toBeGreaterThan(0)
  expect(rig.base.mishaps).toBe(0)
})

test('a plan outlives a power cut; a damaged one is left out and said', () => {
  const files = new SimulatedFiles({ pins: createPins(), bytes: 32_768 })
  call(createRig(files), 'session.start', plan)
  const again = createRig(files)
  expect(again.base.session).toMatchObject({ films: 2, filmsPerLitre: 1, millilitres: [350] })
  expect(again.base.session.recipe.name).toBe('bw-negative')
  for (const text of ['{', '[]', '{"recipe":"bw-negative"}', JSON.stringify({ ...plan, recipe: 'gone' })]) {
    files.write('planned', text)
    const rig = createRig(files)
    expect(rig.base.session.recipe.name).toBe('colour-negative')
    expect(call(rig, 'describe').result?.['ignored'], text).toEqual(['planned'])
  }
})

test('advance from afar only begins and ends a drain; all else takes a press on the base', () => {
  const rig = createRig()
  expect(refusal(rig, 'session.advance')).toBe('Press advance on the base')
  press(rig, 'advance')
  refusal(rig, 'session.advance')
  wait(rig, 10)
  press(rig, 'advance')
  refusal(rig, 'session.advance')
  rig.base.clock.view.due = true
  step(rig)
  expect(rig.base.session.state).toBe('due')
  expect(call(rig, 'session.advance').result).toEqual({ taken: true })
  expect(rig.base.session.state).toBe('draining')
  expect(rig.pins.motorDuty).toBe(0)
  wait(rig, 10)
  expect(call(rig, 'session.advance').result).toEqual({ taken: true })
  expect(rig.base.session.state).toBe('ready')
  refusal(rig, 'session.advance')
})

function toDue(rig: Rig): void {
  toTurning(rig)
  rig.base.clock.view.due = true
  step(rig)
  expect(rig.base.session.state).toBe('due')
}

test('advance from afar, twice in one burst, pours out once: the tank is not taken for empty while it is full', () => {
  const rig = createRig()
  toDue(rig)
  const twice = [1, 2].map(id => framed({ jsonrpc: '2.0', id, method: 'session.advance' })).join('')
  const replies = sendRaw(rig, twice)
  for (let i = 0; i < 5; i++) {
    step(rig)
    expect(rig.base.session.state).toBe('draining')
  }
  replies.push(...received(rig))
  expect(replies.map(one => one.error?.message ?? one.result)).toEqual([
    { taken: true },
    'Asked twice? The first one counts',
  ])
  wait(rig, 3)
  expect(call(rig, 'session.advance').result).toEqual({ taken: true })
  expect(rig.base.session.state).toBe('ready')
})

test('hold from afar stops the motor, and only a press on the base ends it', () => {
  const rig = createRig()
  refusal(rig, 'session.hold', { on: true })
  toTurning(rig)
  expect(refusal(rig, 'session.hold', { on: false })).toBe('Not held')
  expect(call(rig, 'session.hold', { on: true }).result).toEqual({ taken: true })
  expect(rig.base.session.state).toBe('held')
  refusal(rig, 'session.hold', { on: true })
  expect(call(rig, 'session.hold', { on: false }).result).toEqual({ waitsFor: 'hold', seconds: 30 })
  expect(screenOf(rig)).toContain('Asked from afar:')
  wait(rig, 5)
  expect(rig.base.session.state).toBe('held')
  press(rig, 'hold')
  expect(rig.base.session.state).toBe('turning')
})

test('to abandon takes a confirmation', () => {
  const rig = createRig()
  toTurning(rig)
  refusal(rig, 'session.abandon', { confirm: false })
  expect(call(rig, 'session.abandon', { confirm: true }).result).toEqual({ taken: true })
  step(rig)
  expect(rig.base.session.state).toBe('abandoned')
  expect(refusal(rig, 'session.abandon', { confirm: true })).toBe('It is over')
})

test('with a developed bath in the tank to abandon also takes a press of hold on the base', () => {
  const rig = createRig()
  toTurning(rig)
  rig.base.session.recipe.baths[0]!.kind = 'developed'
  expect(call(rig, 'session.abandon', { confirm: true }).result).toEqual({ waitsFor: 'hold', seconds: 30 })
  expect(screenOf(rig)).toContain('Abandon, from afar:')
  expect(rig.base.session.state).toBe('turning')
  wait(rig, 31)
  press(rig, 'hold')
  expect(rig.base.session.state).toBe('held')
  call(rig, 'session.abandon', { confirm: true })
  press(rig, 'hold')
  expect(rig.base.session.state).toBe('abandoned')
})
