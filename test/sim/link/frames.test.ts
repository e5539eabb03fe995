/** Framed messages are found among whatever a prompt and a bad line put round them. */
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { framed, frameFinder } from '../../../sim/link/frames.ts'
import { hearLines } from '../../../sim/link/remote.ts'

test('messages come out whole and in order, however the stream is cut and whatever stands between them', () => {
  const noise = fc.string({ unit: 'binary-ascii' }).map(text => text.replaceAll('\x1e', ''))
  const message = fc.record({ id: fc.nat(), result: fc.jsonValue() })
  fc.assert(
    fc.property(
      fc.array(fc.tuple(noise, message), { maxLength: 6 }),
      noise,
      fc.infiniteStream(fc.integer({ min: 1, max: 9 })),
      (all, tail, cuts) => {
        const stream = all.map(([before, one]) => before + framed(one)).join('') + tail
        const finder = frameFinder()
        const found: unknown[] = []
        for (let at = 0; at < stream.length; ) {
          const length = cuts.next().value as number
          found.push(...finder.push(stream.slice(at, at + length)))
          at += length
        }
        expect(found).toEqual(all.map(([, one]) => JSON.parse(JSON.stringify(one))))
      },
    ),
  )
})

test('a prompt that is redrawn in the middle of a message does not spoil it', () => {
  const finder = frameFinder()
  const noisy = '\x1e{"id":1,\r\n>"result":\r\x1b[J{"a":\x1b[A2}}\r\n'
  expect(finder.push(noisy)).toEqual([{ id: 1, result: { a: 2 } }])
  expect(finder.garbled()).toBe(0)
})

test('a prompt that shows itself in the middle of a word does not change the word', () => {
  const finder = frameFinder()
  expect(finder.push('\x1e{"methods":["sess>ion.start"],"a":"b\\u003ec"}\n')).toEqual([
    { methods: ['session.start'], a: 'b>c' },
  ])
})

test('a message that is cut off, changed or endless is dropped and counted, and the next one is found', () => {
  const finder = frameFinder()
  expect(finder.push(`\x1e{"id":1,${framed({ id: 2 })}`)).toEqual([{ id: 2 }])
  expect(finder.push(`\x1e{"id"!1}\n${framed({ id: 3 })}`)).toEqual([{ id: 3 }])
  expect(finder.push(`\x1e${'x'.repeat(70_000)}`)).toEqual([])
  expect(finder.push(framed({ id: 4 }))).toEqual([{ id: 4 }])
  expect(finder.garbled()).toBe(3)
})

test('hear lines are short, plain ASCII, and give back every byte when they are evaluated', () => {
  fc.assert(
    fc.property(fc.string({ unit: 'binary-ascii', maxLength: 1500 }), text => {
      const lines = hearLines(text)
      let heard = ''
      for (const { line, bytes } of lines) {
        expect(line.length).toBeLessThanOrEqual(300)
        expect(line.startsWith('\x10')).toBe(true)
        expect(line.slice(1)).toMatch(/^[ -~]*\n$/)
        const before = heard.length
        new Function('hear', line.slice(1))((part: string) => {
          heard += part
        })
        expect(heard.length - before).toBe(bytes)
      }
      expect(heard).toBe(text)
    }),
  )
})
