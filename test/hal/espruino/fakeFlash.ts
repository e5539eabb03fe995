/**
 * Flash memory for tests, with the limits of the real thing: a write only clears bits, an erase sets all bits of a page, and
 * the power can fail in the middle of either, leaving them torn. After a cut every access throws `PowerCut` until the power
 * comes back, so that a program which catches the first one cannot go on writing.
 *
 * Work is counted in steps: one for each byte written, one for each page erased.
 */

/** Thrown by every access from the moment the power failed. */
export class PowerCut extends Error {
  constructor() {
    super('the power failed')
  }
}

export interface FakeFlash {
  /** What is in the flash. Tests may look at it and spoil it. */
  readonly bytes: Uint8Array
  readonly pageBytes: number
  /** Steps done since the flash was made. */
  readonly steps: number
  /** Writes and page erases begun since the flash was made. */
  readonly operations: number
  /** Pages erased since the flash was made. */
  readonly erases: number
  readonly dead: boolean
  /** The power fails after so many more steps; a torn step is half done then (half of a byte's bits, half of a page). */
  cutAfterSteps(steps: number, torn?: boolean): void
  /** The power fails just before the so manieth next operation (0: the next one). */
  cutBeforeOperation(operation: number): void
  powerOn(): void
  read(address: number, length: number): Uint8Array
  /** Clears bits, whatever was there before. */
  write(address: number, data: ArrayLike<number>): void
  erasePage(address: number): void
}

/** A blank flash of so many bytes in pages (the reference board: 256 kB in pages of 4 kB). */
export function createFakeFlash(totalBytes = 262_144, pageBytes = 4096): FakeFlash {
  const bytes = new Uint8Array(totalBytes).fill(0xff)
  let steps = 0
  let operations = 0
  let erases = 0
  let dead = false
  let stepsLeft = Infinity
  let operationsLeft = Infinity
  let torn = false

  const alive = (): void => {
    if (dead) throw new PowerCut()
  }
  const begin = (): void => {
    alive()
    if (operationsLeft <= 0) die()
    operationsLeft--
    operations++
  }
  const die = (): never => {
    dead = true
    throw new PowerCut()
  }
  const step = (half: () => void): void => {
    if (stepsLeft <= 0) {
      if (torn) half()
      die()
    }
    stepsLeft--
    steps++
  }
  return {
    bytes,
    pageBytes,
    get steps() {
      return steps
    },
    get operations() {
      return operations
    },
    get erases() {
      return erases
    },
    get dead() {
      return dead
    },
    cutAfterSteps(count, half = false) {
      stepsLeft = count
      torn = half
    },
    cutBeforeOperation(operation) {
      operationsLeft = operation
    },
    powerOn() {
      dead = false
      stepsLeft = Infinity
      operationsLeft = Infinity
    },
    read(address, length) {
      alive()
      return bytes.slice(address, address + length)
    },
    write(address, data) {
      begin()
      for (let i = 0; i < data.length; i++) {
        step(() => {
          bytes[address + i] &= data[i] | 0x55
        })
        bytes[address + i] &= data[i]
      }
    },
    erasePage(address) {
      begin()
      const start = address - (address % pageBytes)
      step(() => bytes.fill(0xff, start, start + pageBytes / 2))
      bytes.fill(0xff, start, start + pageBytes)
      erases++
    },
  }
}
