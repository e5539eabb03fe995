/**
 * The contract suite: what every board must pass, simulated or real. A board brings a `BoardUnderTest`: how each of
 * its parts is made, what its options allow, and hands that reach behind it. Only tests see those hands.
 */
import { describe, expect, test } from 'vitest'
import type { Board, ByteStore, Motor, Part, SerialLine, TextFiles } from '../../hal/board.ts'
import { passesAsFiles, passesAsLine } from './contractTexts.ts'

/** One part of a board: how it is made and what its options may be. */
export interface PartUnderTest {
  name: string
  /** Options that work. */
  good: Record<string, unknown>
  /** For each option: a value of the wrong type, and values out of range (none for an option that is an object). */
  options: Record<string, { wrongType: unknown; outOfRange: unknown[] }>
  make(options: Record<string, unknown>): Part
  /** Values that cannot be written, and one that can; nothing for a part that is only read. */
  write?: { good: unknown; bad: unknown[]; effect(): unknown }
  /** Empties the source behind the part, where a part may be empty. */
  makeEmpty?(): void
}

export interface BoardUnderTest {
  parts: PartUnderTest[]
  /** A fresh board, opened. */
  open(): Board
  motor(deadManSeconds: number): Motor
  store(): ByteStore
  /** Lets the board's time run. */
  pass(seconds: number): void
  /** The duty that the motor really gets. */
  dutyAtMotor(): number
  press(which: 'advance' | 'hold'): void
  release(which: 'advance' | 'hold'): void
  line(): SerialLine
  /** The laptop sends bytes, one character each, to a line that is taken. */
  receive(bytes: string): void
  /** All that the line has sent to the laptop. */
  sent(): string
  files(): TextFiles
}

/** Runs the suite. `make` gives a new world for each test. */
export function passesTheContract(boardName: string, make: () => BoardUnderTest): void {
  describe(boardName, () => {
    for (const part of make().parts) {
      const again = (): PartUnderTest => partOf(make(), part.name)
      describe(part.name, () => {
        passesAsPart(again)
        if (part.write !== undefined) passesAsWritten(again)
        if (part.makeEmpty !== undefined) passesAsRead(again)
      })
    }
    describe('clock', () => passesAsClock(make))
    describe('button', () => passesAsButton(make))
    describe('motor', () => passesAsMotor(make))
    describe('store', () => passesAsStore(make))
    describe('line', () => passesAsLine(make))
    describe('text files', () => passesAsFiles(make))
    test('closing a board closes every part of it, and closing it twice is fine', () => {
      const board = make().open()
      board.close()
      board.close()
      for (const source of [board.clock, board.probe, board.advance, board.hold, board.supply]) {
        expect(() => source.read()).toThrow(Error)
      }
      expect(() => board.motor.write(0)).toThrow(Error)
      expect(() => board.store.read(0, 1)).toThrow(Error)
      expect(() => board.line.read()).toThrow(Error)
      expect(() => board.files.names()).toThrow(Error)
    })
    test('its CRC-32 is the one of the catalogue: "123456789" gives CBF43926', () => {
      const bytes = Uint8Array.from('123456789', letter => letter.charCodeAt(0))
      expect(make().open().crc32(bytes).toString(16)).toBe('cbf43926')
    })
  })
}

function partOf(board: BoardUnderTest, name: string): PartUnderTest {
  const part = board.parts.find(candidate => candidate.name === name)
  if (part === undefined) throw new Error(`no part ${name}`)
  return part
}

/** A part as a test uses it: it may have either method. */
type Used = Part & { read?(): unknown; write?(value: unknown): void }

function passesAsPart(make: () => PartUnderTest): void {
  test('refuses options that are missing or of the wrong type with a TypeError that names them', () => {
    const part = make()
    for (const [option, { wrongType }] of Object.entries(part.options)) {
      const { [option]: _, ...missing } = part.good
      expect(() => part.make(missing)).toThrow(TypeError)
      expect(() => part.make(missing)).toThrow(option)
      expect(() => part.make({ ...part.good, [option]: wrongType })).toThrow(TypeError)
    }
    expect(() => part.make(undefined as never)).toThrow(TypeError)
  })

  test('refuses options out of range with a RangeError that says what is allowed', () => {
    const part = make()
    for (const [option, { outOfRange }] of Object.entries(part.options)) {
      for (const value of outOfRange) {
        expect(() => part.make({ ...part.good, [option]: value })).toThrow(RangeError)
        expect(() => part.make({ ...part.good, [option]: value })).toThrow(/allowed/)
      }
    }
  })

  test('may be closed twice, and throws when it is used after that', () => {
    const part = make()
    const made: Used = part.make(part.good)
    made.close()
    made.close()
    expect(made.read ?? made.write).toBeDefined()
    if (made.read !== undefined) expect(() => made.read?.()).toThrow(Error)
    if (part.write !== undefined) expect(() => made.write?.(part.write?.good)).toThrow(Error)
  })

  test('calls nothing back from its constructor', () => {
    const part = make()
    let calls = 0
    const onCall = (): void => {
      calls++
    }
    part.make({ ...part.good, onReadable: onCall, onWritable: onCall, onError: onCall }).close()
    expect(calls).toBe(0)
  })
}

function passesAsWritten(make: () => PartUnderTest): void {
  test('writes all or nothing: a value that cannot be written throws and changes nothing', () => {
    const part = make()
    const made: Used = part.make(part.good)
    made.write?.(part.write?.good)
    const before = part.write?.effect()
    for (const bad of part.write?.bad ?? []) {
      expect(() => made.write?.(bad)).toThrow(/allowed/)
      expect(part.write?.effect()).toEqual(before)
    }
  })
}

function passesAsRead(make: () => PartUnderTest): void {
  test('reads undefined when there is nothing', () => {
    const part = make()
    const made: Used = part.make(part.good)
    part.makeEmpty?.()
    expect(made.read?.()).toBeUndefined()
  })
}

function passesAsClock(make: () => BoardUnderTest): void {
  test('never steps back, and goes on by what passes', () => {
    const under = make()
    const { clock } = under.open()
    const start = clock.read() as number
    let last = start
    for (let step = 0; step < 20; step++) {
      under.pass(0.1)
      const now = clock.read() as number
      expect(now).toBeGreaterThanOrEqual(last)
      last = now
    }
    expect(last - start).toBeCloseTo(2, 6)
  })

  test('does not care what the wall clock is set to', () => {
    const under = make()
    const { clock, wallClock } = under.open()
    const before = clock.read() as number
    wallClock.write(1_000_000)
    wallClock.write(5)
    expect(clock.read()).toBeGreaterThanOrEqual(before)
  })
}

function passesAsButton(make: () => BoardUnderTest): void {
  test('keeps a press that came and went between two looks, with its time', () => {
    const under = make()
    const { advance, clock } = under.open()
    const before = advance.read()?.presses as number
    under.pass(1)
    const pressed = clock.read() as number
    under.press('advance')
    under.pass(0.02)
    under.release('advance')
    under.pass(1)
    const reading = advance.read()
    expect(reading?.presses).toBe(before + 1)
    expect(reading?.down).toBe(false)
    expect(reading?.pressedSeconds).toBeCloseTo(pressed, 2)
  })
}

function passesAsMotor(make: () => BoardUnderTest): void {
  test('stops by itself when it is not refreshed within its dead-man limit, which is half a second at most', () => {
    const under = make()
    const motor = under.motor(0.5)
    expect(motor.deadManSeconds).toBeLessThanOrEqual(0.5)
    expect(motor.deadManBy.length).toBeGreaterThan(0)
    motor.write(0.7)
    under.pass(0.4)
    expect(under.dutyAtMotor()).toBeCloseTo(0.7, 6)
    motor.write(0.7)
    under.pass(0.4)
    expect(under.dutyAtMotor()).toBeCloseTo(0.7, 6)
    under.pass(0.2)
    expect(under.dutyAtMotor()).toBe(0)
  })

  test('stands still when it is closed', () => {
    const under = make()
    const motor = under.motor(0.5)
    motor.write(-1)
    motor.close()
    expect(under.dutyAtMotor()).toBe(0)
  })
}

function passesAsStore(make: () => BoardUnderTest): void {
  const bytes = (...values: number[]): Uint8Array => Uint8Array.from(values)

  test('can only clear bits, and refuses a write that would set one whole', () => {
    const store = make().store()
    store.erase(0)
    store.write(0, bytes(0xf0, 0x0f))
    store.write(0, bytes(0x30, 0x0f))
    expect(store.read(0, 2)).toEqual(bytes(0x30, 0x0f))
    expect(() => store.write(0, bytes(0x10, 0x1f))).toThrow(RangeError)
    expect(store.read(0, 2)).toEqual(bytes(0x30, 0x0f))
  })

  test('is erased by whole blocks, and leaves the block beside it alone', () => {
    const store = make().store()
    store.erase(0)
    store.erase(store.blockBytes)
    store.write(store.blockBytes - 1, bytes(1, 2))
    store.erase(0)
    expect(store.read(store.blockBytes - 1, 2)).toEqual(bytes(0xff, 2))
    expect(() => store.erase(1)).toThrow(RangeError)
  })

  test('refuses to read, write or erase beyond its end', () => {
    const store = make().store()
    expect(() => store.read(store.bytes - 1, 2)).toThrow(RangeError)
    expect(() => store.write(store.bytes, bytes(0))).toThrow(RangeError)
    expect(() => store.erase(store.bytes)).toThrow(RangeError)
    expect(() => store.read(-1, 1)).toThrow(RangeError)
  })

  test('is not erased while the motor turns', () => {
    const board = make().open()
    board.store.erase(0)
    board.store.write(0, bytes(0))
    board.motor.write(0.5)
    expect(() => board.store.erase(0)).toThrow(/motor/)
    expect(board.store.read(0, 1)).toEqual(bytes(0))
  })

  test('gives copies: changing what was read changes nothing stored', () => {
    const store = make().store()
    store.erase(0)
    const copy = store.read(0, 1)
    copy[0] = 0
    expect(store.read(0, 1)).toEqual(bytes(0xff))
  })
}
