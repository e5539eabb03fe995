/** The contract suite's part for what takes and gives texts: the serial line and the small files. */
import { expect, test } from 'vitest'
import type { BoardUnderTest } from './contract.ts'

export function passesAsLine(make: () => BoardUnderTest): void {
  test('belongs to the prompt until it is taken; taking it and giving it back twice is fine', () => {
    const line = make().line()
    expect(line.taken).toBe(false)
    line.giveBack()
    line.take()
    line.take()
    expect(line.taken).toBe(true)
    line.giveBack()
    expect(line.taken).toBe(false)
  })

  test('gives what arrived once, byte for byte, an interrupt included', () => {
    const under = make()
    const line = under.line()
    line.take()
    expect(line.read()).toBeUndefined()
    under.receive('\x1e{"a":')
    under.receive('1}\n\x03\xff\x00')
    expect(line.read()).toBe('\x1e{"a":1}\n\x03\xff\x00')
    expect(line.read()).toBeUndefined()
    expect(line.lostBytes).toBe(0)
  })

  test('keeps a bounded part of a flood, counts the rest as lost, and hears again after that', () => {
    const under = make()
    const line = under.line()
    line.take()
    for (let i = 0; i < 100; i++) under.receive('x'.repeat(1000))
    const kept = line.read() as string
    expect(kept.length).toBeGreaterThanOrEqual(512)
    expect(kept.length).toBeLessThanOrEqual(4096)
    expect(kept.length + line.lostBytes).toBe(100_000)
    under.receive('after')
    expect(line.read()).toBe('after')
  })

  test('sends texts in their order, and drops what the port cannot take in place of waiting', () => {
    const under = make()
    const line = under.line()
    line.write('\x1e{"first":1}\n')
    line.write('\x1e{"second":2}\n')
    under.pass(1)
    expect(under.sent()).toBe('\x1e{"first":1}\n\x1e{"second":2}\n')
    for (let i = 0; i < 1000; i++) line.write('y'.repeat(200))
    under.pass(1)
    expect(under.sent().length).toBeLessThan(100_000)
  })

  test('gives the port back when it is closed', () => {
    const line = make().line()
    line.take()
    line.close()
    expect(line.taken).toBe(false)
  })
}

export function passesAsFiles(make: () => BoardUnderTest): void {
  const longestName = 'r.a-name-of-26-characters.'
  const longestText = '~'.repeat(8000)

  test('gives back what was written, also the longest name and text, and the newest text of a name', () => {
    const files = make().files()
    expect(files.names()).toEqual([])
    expect(files.read('calibration')).toBeUndefined()
    files.write('calibration', '{"offset":0.1}')
    files.write(longestName, longestText)
    files.write('calibration', '{"offset":0.2}')
    files.write('empty', '')
    expect(files.read('calibration')).toBe('{"offset":0.2}')
    expect(files.read(longestName)).toBe(longestText)
    expect(files.read('empty')).toBe('')
    expect(files.names().sort()).toEqual(['calibration', 'empty', longestName])
  })

  test('forgets a text that was removed; removing it again is fine', () => {
    const files = make().files()
    files.write('planned', '1')
    files.write('planned', '2')
    files.remove('planned')
    files.remove('planned')
    expect(files.read('planned')).toBeUndefined()
    expect(files.names()).toEqual([])
  })

  test('knows no file by the name of something that every object has', () => {
    const files = make().files()
    for (const name of ['constructor', 'on', 'emit', 'length']) expect(files.read(name)).toBeUndefined()
  })

  test('refuses other names and texts, and changes nothing then', () => {
    const files = make().files()
    files.write('kept', 'as it is')
    for (const name of ['', 'A', 'a b', 'a/b', `${longestName}x`]) {
      expect(() => files.write(name, 'text')).toThrow(RangeError)
      expect(() => files.read(name)).toThrow(RangeError)
    }
    expect(() => files.write(7 as never, 'text')).toThrow(/allowed/)
    expect(() => files.write('kept', undefined as never)).toThrow(TypeError)
    expect(() => files.write('kept', 'line\nbreak')).toThrow(/allowed/)
    expect(() => files.write('kept', `${longestText}~`)).toThrow(RangeError)
    expect(files.names()).toEqual(['kept'])
    expect(files.read('kept')).toBe('as it is')
  })

  test('throws when there is no more room, and keeps every text that was there', () => {
    const files = make().files()
    let written = 0
    const fill = (): void => {
      for (; written < 1000; written++) files.write(`r.${written}`, longestText)
    }
    expect(fill).toThrow(Error)
    expect(written).toBeGreaterThan(0)
    expect(files.names().length).toBe(written)
    expect(files.read(`r.${written - 1}`)).toBe(longestText)
    expect(files.read(`r.${written}`)).toBeUndefined()
  })
}
