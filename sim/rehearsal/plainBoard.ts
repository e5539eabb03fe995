/**
 * The simulated board as a rehearsal needs it: the contract of `hal/board.ts` straight on the plant's pins.
 *
 * `sim/board.ts` checks everything as a real board does, and costs what a board's engine can ill afford. Here nothing is
 * checked, nothing is kept in the store, and nobody is on the line; what is shown and played may go to parts of a real
 * board. Nothing fails.
 */
import type { Board, ByteStore, RotationReading, Screen, SerialLine, Sounder, SupplyReading } from '../../hal/board.ts'
import type { Pins } from '../plant/pins.ts'

export interface PlainBoardOptions {
  pins: Pins
  adcBits: number
  hasRoom: boolean
  hasShaft: boolean
  hasTank: boolean
  shown?: Shown | undefined
}

/** Parts of a real board on which a rehearsal is seen, heard and talked to; nowhere when left out. */
export interface Shown {
  screen: Screen
  sounder: Sounder
  line: SerialLine
}

const DEAD_MAN_SECONDS = 0.5

function nothing(): void {}

/** Flash that is always erased: a rehearsal leaves nothing behind. */
function forgetfulStore(): ByteStore {
  return {
    bytes: 0,
    blockBytes: 0,
    read(_address: number, length: number): Uint8Array {
      return new Uint8Array(length)
    },
    write: nothing,
    erase: nothing,
    close: nothing,
  }
}

/** A line on which nobody is. */
function silentLine(): SerialLine {
  return {
    taken: false,
    lostBytes: 0,
    read: () => undefined,
    write: nothing,
    take: nothing,
    giveBack: nothing,
    close: nothing,
  }
}

export function openPlainBoard(options: PlainBoardOptions): Board {
  const pins = options.pins
  const shown = options.shown
  const supply: SupplyReading = { packVolts: NaN, motorAmps: NaN }
  const shaft: RotationReading = { edges: 0, edgeSeconds: 0 }
  const tank: RotationReading = { edges: 0, edgeSeconds: 0 }
  return {
    clock: { read: () => pins.seconds, close: nothing },
    wallClock: { read: () => undefined, write: nothing, close: nothing },
    probe: { bits: options.adcBits, read: () => pins.probeCounts, close: nothing },
    room: options.hasRoom ? { bits: options.adcBits, read: () => pins.roomCounts, close: nothing } : undefined,
    advance: { read: () => pins.advance, close: nothing },
    hold: { read: () => pins.hold, close: nothing },
    shaft: options.hasShaft
      ? {
          read: () => {
            shaft.edges = pins.shaftEdges
            shaft.edgeSeconds = pins.shaftEdgeSeconds
            return shaft
          },
          close: nothing,
        }
      : undefined,
    tank: options.hasTank
      ? {
          read: () => {
            tank.edges = pins.tankEdges
            tank.edgeSeconds = pins.tankEdgeSeconds
            return tank
          },
          close: nothing,
        }
      : undefined,
    supply: {
      read: () => {
        supply.packVolts = pins.packVolts
        supply.motorAmps = pins.motorAmps
        return supply
      },
      close: nothing,
    },
    motor: {
      deadManSeconds: DEAD_MAN_SECONDS,
      deadManBy: 'the rehearsal',
      write: duty => {
        pins.motorDuty = duty
        pins.motorGoodUntilSeconds = pins.seconds + DEAD_MAN_SECONDS
      },
      close: nothing,
    },
    screen: shown ? shown.screen : { write: nothing, close: nothing },
    sounder: shown ? shown.sounder : { write: nothing, close: nothing },
    watchdog: { limitSeconds: 1, write: nothing, close: nothing },
    store: forgetfulStore(),
    files: { names: () => [], read: () => undefined, write: nothing, remove: nothing, close: nothing },
    line: shown ? shown.line : silentLine(),
    resetCause: 'power',
    // The table of a real one takes more memory than all else here, and nobody asks.
    crc32: () => 0,
    close: nothing,
  }
}
