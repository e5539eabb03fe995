import { expect, test } from 'vitest'
import { sendToLine } from '../../../sim/plant/pins.ts'
import { call, createRig, framed, OPTIONS, type Reply, type Rig, sendRaw, toTurning, wait } from './rig.ts'

function codeOf(replies: Reply[]): [unknown, number | undefined][] {
  return replies.map(reply => [reply.id, reply.error?.code])
}

function sent(rig: Rig, request: unknown): Reply[] {
  return sendRaw(rig, framed(request))
}

test('what is not JSON is a parse error without an id', () => {
  const rig = createRig()
  for (const text of ['{"jsonrpc":', 'hello', '{"a":1} and more', '{]', '"\x80\xff"x', '{"id":1,}']) {
    expect(codeOf(sendRaw(rig, `\x1e${text}\n`)), text).toEqual([[null, -32700]])
  }
})

test('JSON that is no request is an invalid request, with its id where it has one', () => {
  const rig = createRig()
  const cases: [unknown, unknown][] = [
    [[], null],
    [[{ jsonrpc: '2.0', id: 1, method: 'status' }], null],
    [{}, null],
    [{ id: 7 }, 7],
    [{ jsonrpc: '1.0', id: 'a', method: 'status' }, 'a'],
    [{ jsonrpc: '2.0', id: 1, method: 5 }, 1],
    [{ jsonrpc: '2.0', id: {}, method: 'status' }, null],
    [{ jsonrpc: '2.0', id: 'x'.repeat(65), method: 'status' }, null],
    [{ jsonrpc: '2.0', id: '\u00e9', method: 'status' }, null],
  ]
  for (const [request, id] of cases) {
    expect(codeOf(sent(rig, request)), JSON.stringify(request)).toEqual([[id, -32600]])
  }
})

test('texts, numbers and null are ids, and come back as they were', () => {
  const rig = createRig()
  for (const id of ['a b', '', 0, -3, 1.5, null]) {
    const [reply] = sent(rig, { jsonrpc: '2.0', id, method: 'status' })
    expect(reply?.id).toBe(id)
    expect(reply?.result).toBeDefined()
  }
})

test('a notification is carried out and never answered', () => {
  const rig = createRig()
  expect(sent(rig, { jsonrpc: '2.0', method: 'wallClock.set', params: { epochSeconds: 1000 } })).toEqual([])
  expect(rig.board.wallClock.read()).toBeCloseTo(1000, 0)
  expect(sent(rig, { jsonrpc: '2.0', method: 'no such' })).toEqual([])
})

test('an unknown method is said so, also one with the name of a built-in', () => {
  const rig = createRig()
  for (const name of ['recipe', 'toString', '__proto__', 'constructor', '']) {
    expect(call(rig, name).error?.code, name).toBe(-32601)
  }
  expect(call(rig, 'caf\u00e9').error?.message).toBe('No method "caf\\u00e9"')
})

test('parameters go by name, every wrong one is named with what was found and what is allowed', () => {
  const rig = createRig()
  expect(call(rig, 'motor.turn', [45, 10]).error).toMatchObject({ code: -32602, message: 'params: by name' })
  const { error } = call(rig, 'motor.turn', { rpm: 500, second: 3 })
  expect(error?.code).toBe(-32602)
  expect(error?.message).toBe('rpm: 500 (allowed: number 5 to 120)')
  expect(error?.data).toEqual([
    { place: 'rpm', found: '500', allowed: 'number 5 to 120' },
    { place: 'seconds', found: 'nothing', allowed: 'number 1 to 60' },
    { place: '"second"', found: 'unknown', allowed: 'rpm, seconds' },
  ])
  expect(call(rig, 'status', { toString: 1 }).error?.message).toBe('"toString": unknown (allowed: nothing)')
  expect(call(rig, 'telemetry.follow', { everySeconds: 1.5 }).error?.code).toBe(-32602)
  expect(call(rig, 'recipe.get', { name: 'caf\u00e9' }).error?.code).toBe(-32602)
  expect(call(rig, 'session.hold', { on: 1 }).error?.code).toBe(-32602)
})

test('every reply is printable ASCII between its frame', () => {
  const rig = createRig()
  sendRaw(rig, framed({ jsonrpc: '2.0', id: 1, method: '\u00e9\u20ac\x7f' }))
  sendRaw(rig, '\x1e\xff\n')
  rig.base.console.options.identity.version = '\u00e9'
  rig.pins.lineOut = ''
  const replies = sendRaw(rig, framed({ jsonrpc: '2.0', id: 1, method: 'describe' }))
  expect(replies[0]?.result?.['version']).toBe('\u00e9')
  rig.base.console.options.identity.version = '1.2.3'
})

test('a reply holds the sign of the prompt only escaped, so that a bare one in it is known for noise', () => {
  const rig = createRig()
  rig.base.console.options.identity.version = 'a>b'
  rig.pins.lineOut = ''
  const [reply] = sendRaw(rig, framed({ jsonrpc: '2.0', id: 1, method: 'describe' }))
  expect(reply?.result?.['version']).toBe('a>b')
  rig.pins.lineOut = ''
  sendToLine(rig.pins, framed({ jsonrpc: '2.0', id: 2, method: 'describe' }))
  wait(rig, 0.3)
  expect(rig.pins.lineOut).toContain('a\\u003eb')
  expect(rig.pins.lineOut).not.toContain('>')
})

test('what throws inside a method is an internal error, and nothing of it reaches the tick', () => {
  const rig = createRig(undefined, {
    ...OPTIONS,
    rehearse: () => {
      throw new Error('oh')
    },
  })
  expect(call(rig, 'rehearse').error?.code).toBe(-32603)
  expect(rig.base.mishaps).toBe(0)
  expect(rig.base.console.mishaps).toBe(1)
})

test('a request that is nested too deep is refused without being parsed', () => {
  const rig = createRig()
  const nested = `${'{"a":'.repeat(300)}1${'}'.repeat(300)}`
  expect(codeOf(sendRaw(rig, `\x1e${nested}\n`))).toEqual([[null, -32600]])
})

test('a line of a megabyte is refused once, and the next request is heard', () => {
  const rig = createRig()
  toTurning(rig)
  const replies = sendRaw(rig, `\x1e${'x'.repeat(1e6)}\n`)
  expect(codeOf(replies)).toEqual([[null, -32600]])
  expect(call(rig, 'status').result).toBeDefined()
  expect(rig.base.mishaps + rig.base.console.mishaps).toBe(0)
})

test('one request is carried out in each tick', () => {
  const rig = createRig()
  const flood = framed({ jsonrpc: '2.0', id: 1, method: 'session.advance' }).repeat(20)
  const replies = sendRaw(rig, flood)
  expect(replies.length).toBeLessThanOrEqual(3)
  wait(rig, 3)
  expect(rig.base.console.frames.held).toBe('')
})
