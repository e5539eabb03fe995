/**
 * The contract's main promises as plain statements, for the interpreter: each prints `ok` or `FAILED` with its name.
 * What the suite in Node asks of every board in full is asked here of the same code after lowering and shortening, on the
 * interpreter's own flash, file store, graphics and language.
 */
import { openEspruinoBoard } from '../../../hal/espruino/board.ts'
import { journalInFile, openFlashStore } from '../../../hal/espruino/flash.ts'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import type { Wiring } from '../../../hal/espruino/wiring/wiring.ts'
import { createThinEngine, type Real } from './thinEngine.ts'

type Say = (line: string) => void

/** A small page of a laptop's fake flash, and the wiring for it. */
export function checkOn(real: Real, blockBytes: number, say: Say): void {
  const wiring: Wiring = {
    name: 'thin',
    board: '',
    chip: 'rp2040',
    slots: 2,
    serialPort: 'USB',
    clockKeptBy: 'memory',
    analog: pico.analog,
    probePin: 'D26',
    supply: pico.supply,
    motor: pico.motor,
    shaft: pico.shaft as never,
    tank: pico.tank as never,
    buttons: pico.buttons,
    sounderPin: pico.sounderPin,
    screen: pico.screen,
    watchdog: pico.watchdog,
    journal: { kind: 'file', bytes: 4 * blockBytes, blockBytes: blockBytes },
    compactedBy: 'base',
    restart: pico.restart as never,
    pulseGroups: {},
  }
  const thin = createThinEngine(real)
  const board = openEspruinoBoard(thin.engine, wiring)
  const check = (name: string, good: boolean): void => say((good ? 'ok ' : 'FAILED ') + name)
  const throws = (work: () => void, word: string): boolean => {
    try {
      work()
    } catch (problem) {
      return String(problem).indexOf(word) >= 0 || String((problem as Error).message).indexOf(word) >= 0
    }
    return false
  }

  const before = board.clock.read() as number
  thin.pass(2)
  check('clock goes on', Math.abs((board.clock.read() as number) - before - 2) < 1e-6)
  check('wall clock is unset', board.wallClock.read() === undefined)
  board.wallClock.write(1800000000)
  check('wall clock is set', Math.abs((board.wallClock.read() as number) - 1800000000) < 1e-3)
  check(
    'wall clock refuses',
    throws(() => board.wallClock.write(-1), 'allowed'),
  )
  check('probe', board.probe.read() === 1024)
  check('pack volts', Math.abs((board.supply.read() as { packVolts: number }).packVolts - 7.425) < 1e-6)
  check('reset cause', board.resetCause === 'software')

  const press = thin.watch[pico.buttons.advancePin]
  if (press !== undefined) press({ state: false, time: thin.seconds - 0.01, lastTime: 0 })
  const reading = board.advance.read()
  check(
    'a press keeps its time',
    reading !== undefined &&
      reading.presses === 1 &&
      Math.abs(reading.pressedSeconds - (board.clock.read() as number) + 0.01) < 1e-6,
  )
  check('no rotation, nothing to read', board.shaft !== undefined && board.shaft.read() === undefined)

  board.motor.write(0.5)
  check('motor turns', thin.levels[pico.motor.pulsePin] === 0.5)
  check('watchdog is tight', thin.watchdogSeconds === 1)
  thin.pass(0.4)
  board.motor.write(0.5)
  thin.pass(0.4)
  check('motor is refreshed', thin.levels[pico.motor.pulsePin] === 0.5)
  check(
    'no erase while driven',
    throws(() => board.store.erase(0), 'motor'),
  )
  thin.pass(0.2)
  check('dead man', thin.levels[pico.motor.pulsePin] === 0)
  check(
    'motor refuses',
    throws(() => board.motor.write(NaN), 'allowed') && throws(() => board.motor.write(1.1), 'allowed'),
  )

  board.motor.write(0.3)
  throws(() => board.motor.write(NaN), '')
  board.motor.write(0)
  throws(() => board.motor.write(NaN), '')
  throws(() => board.motor.write(7), '')
  check('what is no duty drives nothing', thin.levels[pico.motor.pulsePin] === 0)

  checkStore(board.store, check, throws)
  const again = openFlashStore({
    engine: thin.engine,
    motor: { driven: false },
    address: journalInFile(thin.engine, 4 * blockBytes, blockBytes),
    bytes: 4 * blockBytes,
    blockBytes: blockBytes,
  })
  check('store is found again', again.read(0, 1)[0] === 0x30)

  board.files.write('calibration', 'one')
  board.files.write('calibration', 'two')
  check('text file', board.files.read('calibration') === 'two' && board.files.names().join() === 'calibration')
  check('no such file', board.files.read('constructor') === undefined)
  check(
    'file names',
    throws(() => board.files.write('A', 'x'), 'allowed'),
  )
  real.storage.erase('in-front')
  real.storage.compact()
  const moved = openFlashStore({
    engine: thin.engine,
    motor: { driven: false },
    address: journalInFile(thin.engine, 4 * blockBytes, blockBytes),
    bytes: 4 * blockBytes,
    blockBytes: blockBytes,
  })
  check('store after compaction', moved.read(0, 2)[0] === 0x30 && moved.read(3 * blockBytes, 1)[0] === 7)
  moved.erase(0)
  check('and erased there', moved.read(0, 1)[0] === 0xff && moved.read(3 * blockBytes, 1)[0] === 7)
  check('files after compaction', board.files.read('calibration') === 'two')
  board.files.remove('calibration')
  check('file removed', board.files.names().length === 0)

  board.screen.write({ lines: [{ text: 'POUR IN', x: 0, y: 0, size: 16, inverse: true }], bars: [] })
  thin.pass(0.2)
  check('screen sends every page once', thin.panelBytes === 1024)
  board.screen.write({
    lines: [{ text: 'POUR IN', x: 0, y: 0, size: 16, inverse: true }],
    bars: [{ x: 76, y: 34, width: 52, height: 12, filled: 0.5 }],
  })
  thin.pass(0.2)
  check('and then what changed', thin.panelBytes > 1024 && thin.panelBytes < 1024 + 4 * 128)
  thin.panelGone = true
  board.screen.write({ lines: [], bars: [] })
  check('screen gone is no error', true)

  board.sounder.write([{ hertz: 880, seconds: 0.1 }])
  const sounding = thin.levels[pico.sounderPin]
  thin.pass(0.2)
  check('sounder', sounding === 0.5 && thin.levels[pico.sounderPin] === 0)

  const hear = thin.engine.hear
  if (hear !== undefined) hear('\x1e{}\n')
  check('heard through the prompt', board.line.read() === '\x1e{}\n')
  board.line.take()
  check('line taken', thin.console === null && board.line.taken)
  if (thin.receive !== undefined) thin.receive('\x03\xff')
  check('bytes while taken', board.line.read() === '\x03\xff' && board.line.read() === undefined)
  board.line.giveBack()
  check('line given back', thin.console === 'USB')
  thin.pass(0.5)
  check('answer to hear', thin.sent.indexOf('"bytes":4}}\n') > 0)
  const digits = new Uint8Array(9)
  for (let i = 0; i < 9; i++) digits[i] = 49 + i
  check('crc32', board.crc32(digits) === 3421780262)
  board.close()
  board.close()
  check(
    'closed',
    throws(() => board.clock.read(), 'close'),
  )
}

function checkStore(
  store: {
    read(a: number, n: number): Uint8Array
    write(a: number, d: Uint8Array): void
    erase(a: number): void
    blockBytes: number
    bytes: number
  },
  check: (name: string, good: boolean) => void,
  throws: (work: () => void, word: string) => boolean,
): void {
  store.erase(0)
  store.erase(store.blockBytes)
  store.write(0, new Uint8Array([0xf0, 0x0f]))
  store.write(0, new Uint8Array([0x30, 0x0f]))
  check('store clears bits', store.read(0, 2)[0] === 0x30 && store.read(0, 2)[1] === 0x0f)
  check('store sets none', throws(() => store.write(0, new Uint8Array([0x31])), 'bits') && store.read(0, 1)[0] === 0x30)
  store.write(store.blockBytes - 1, new Uint8Array([1, 2]))
  store.erase(store.blockBytes)
  check(
    'store erases one block',
    store.read(store.blockBytes - 1, 2)[0] === 1 && store.read(store.blockBytes, 1)[0] === 0xff,
  )
  check(
    'store has an end',
    throws(() => store.read(store.bytes - 1, 2), 'bytes at'),
  )
  store.write(3 * store.blockBytes, new Uint8Array([7]))
}
