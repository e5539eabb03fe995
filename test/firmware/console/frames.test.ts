import fc from 'fast-check'
import { expect, test } from 'vitest'
import { createFrames, HALF_SECONDS, isTangled, nextFrame } from '../../../firmware/console/frames.ts'

const MOST = 2048

test('a request is found among noise, in pieces, and behind another', () => {
  const frames = createFrames()
  expect(nextFrame(frames, '>print(1)\r\n=1\x1e{"a"', MOST, 0)).toBeUndefined()
  expect(nextFrame(frames, ':1}', MOST, 0.1)).toBeUndefined()
  expect(nextFrame(frames, '\n>\x1e{"b":2}\nrest', MOST, 0.2)).toBe('{"a":1}')
  expect(nextFrame(frames, undefined, MOST, 0.3)).toBe('{"b":2}')
  expect(nextFrame(frames, undefined, MOST, 0.4)).toBeUndefined()
  expect(frames.held).toBe('')
})

test('a request that was cut off begins anew with the next', () => {
  const frames = createFrames()
  expect(nextFrame(frames, '\x1e{"a":\x1e{"b":2}\n', MOST, 0)).toBe('{"b":2}')
})

test('half a message is forgotten after five seconds', () => {
  const frames = createFrames()
  nextFrame(frames, '\x1e{"a":', MOST, 0)
  nextFrame(frames, undefined, MOST, HALF_SECONDS - 0.1)
  expect(frames.held).not.toBe('')
  nextFrame(frames, undefined, MOST, HALF_SECONDS + 0.1)
  expect(frames.held).toBe('')
  expect(nextFrame(frames, '1}\n\x1e2\n', MOST, HALF_SECONDS + 0.2)).toBe('2')
})

test('a text that is too long is dropped whole and said so once, and what follows is heard', () => {
  const frames = createFrames()
  let said = 0
  const chunk = 'x'.repeat(1000)
  for (let i = 0; i < 1000; i++) {
    expect(nextFrame(frames, i === 0 ? `\x1e${chunk}` : chunk, MOST, i / 10)).toBeUndefined()
    if (frames.tooLong) said++
    frames.tooLong = false
    expect(frames.held.length).toBeLessThanOrEqual(MOST + 2)
  }
  expect(said).toBe(1)
  expect(nextFrame(frames, '\n\x1e{"a":1}\n', MOST, 101)).toBe('{"a":1}')
})

test('the longest request that is allowed is taken', () => {
  const frames = createFrames()
  const text = `"${'x'.repeat(MOST - 2)}"`
  expect(nextFrame(frames, `\x1e${text}\n`, MOST, 0)).toBe(text)
})

test('five interrupts in a row are the escape, however they come; four are not', () => {
  for (const pieces of [
    ['\x03\x03\x03\x03\x03'],
    ['ab\x03\x03', '\x03\x03\x03\x1e5\n'],
    ['\x1e{"a\x03\x03\x03', '\x03', '\x03'],
  ]) {
    const frames = createFrames()
    for (const piece of pieces) nextFrame(frames, piece, MOST, 0)
    expect(frames.escape, JSON.stringify(pieces)).toBe(true)
  }
  const frames = createFrames()
  for (const piece of ['\x03\x03\x03\x03', 'x\x03', '\x03\x03', '.', '\x03']) nextFrame(frames, piece, MOST, 0)
  expect(frames.escape).toBe(false)
})

test('an escape that lies in two pieces takes nothing of what follows', () => {
  const frames = createFrames()
  nextFrame(frames, '\x1e{"half":\x03\x03\x03', MOST, 0)
  expect(nextFrame(frames, '\x03\x03\x1e{"b":2}\n', MOST, 0.1)).toBe('{"b":2}')
  expect(frames.escape).toBe(true)
})

test('whatever comes in whatever pieces, every whole request that fits is given once, in order', () => {
  const noise = fc.string({ maxLength: 20 })
  const request = fc.nat(1e6).map(String)
  fc.assert(
    fc.property(
      fc.array(fc.tuple(noise, request), { maxLength: 12 }),
      fc.integer({ min: 1, max: 9 }),
      (parts, size) => {
        const stream = parts.map(([before, text]) => `${before}\x1e${text}\n`).join('')
        const frames = createFrames()
        const got: string[] = []
        const take = (came: string | undefined): void => {
          const text = nextFrame(frames, came, MOST, 0)
          if (text !== undefined) got.push(text)
        }
        for (let i = 0; i < stream.length; i += size) take(stream.slice(i, i + size))
        for (let i = 0; i < parts.length; i++) take(undefined)
        expect(got).toEqual(parts.map(([, text]) => text))
      },
    ),
  )
})

test('arbitrary bytes never make it hold more than its bound', () => {
  fc.assert(
    fc.property(
      fc.array(fc.string({ unit: fc.constantFrom('\x1e', '\n', '\x03', '{', 'a'), maxLength: 300 })),
      chunks => {
        const frames = createFrames()
        for (const chunk of chunks) {
          nextFrame(frames, chunk, 100, 0)
          expect(frames.held.length).toBeLessThanOrEqual(102)
          expect(frames.interrupts.length).toBeLessThan(5)
        }
      },
    ),
  )
})

test('what is nested deeper than any request is told before it is parsed, recipes are not', () => {
  expect(isTangled('['.repeat(10), true)).toBe(true)
  expect(isTangled('{"a":'.repeat(500), false)).toBe(true)
  expect(isTangled('[],'.repeat(1000), false)).toBe(true)
  expect(isTangled(']'.repeat(4000), false)).toBe(false)
  expect(isTangled('{"a":[[1,2],[3,4]],"b":{}}', true)).toBe(false)
})
