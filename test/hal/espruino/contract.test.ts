import type { ScreenFrame } from '../../../hal/board.ts'
import { openEspruinoBoard } from '../../../hal/espruino/board.ts'
import { openClock, openWallClock } from '../../../hal/espruino/clocks.ts'
import { openFiles } from '../../../hal/espruino/files.ts'
import { openFlashStore } from '../../../hal/espruino/flash.ts'
import { openAnalogInput, openSupply } from '../../../hal/espruino/inputs.ts'
import { openLine } from '../../../hal/espruino/line.ts'
import { openMotor } from '../../../hal/espruino/motor.ts'
import { openScreen } from '../../../hal/espruino/screen.ts'
import { openSounder } from '../../../hal/espruino/sounder.ts'
import { openWatchdog } from '../../../hal/espruino/watchdog.ts'
import { openButton, openRotationCounter } from '../../../hal/espruino/watches.ts'
import { esp32 } from '../../../hal/espruino/wiring/esp32.ts'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import { stm32f4 } from '../../../hal/espruino/wiring/stm32f4.ts'
import type { Wiring } from '../../../hal/espruino/wiring/wiring.ts'
import { type BoardUnderTest, passesTheContract } from '../contract.ts'
import { BARE_ADDRESS, createFakeEngine } from './fakeEngine.ts'

function espruinoBoard(wiring: Wiring): BoardUnderTest {
  const { journal } = wiring
  const bareAddress = journal.kind === 'pages' ? journal.address : BARE_ADDRESS
  const fake = createFakeEngine(bareAddress, journal.blockBytes)
  const { engine } = fake
  fake.analog[wiring.probePin] = 0.5
  fake.analog[wiring.supply.packPin] = 0.7
  const clock = openClock({ engine })
  const watchdog = openWatchdog({ engine, limitSeconds: 1, restSeconds: 8 })
  const { driver, pulsePin, backPin, hertz } = wiring.motor
  const goodMotor = {
    engine,
    watchdog,
    driver,
    pulsePin,
    backPin,
    hertz,
    deadManSeconds: 0.5,
    deadManBy: 'test',
  }
  const goodStore = {
    engine,
    motor: { driven: false },
    address: bareAddress,
    bytes: 2 * journal.blockBytes,
    blockBytes: journal.blockBytes,
  }
  const anEngine = { engine: { wrongType: 7, outOfRange: [] } }
  const aClock = { clock: { wrongType: 'noon', outOfRange: [] } }
  const aPin = { wrongType: 5, outOfRange: ['', 'elsewhere', '5'] }
  const word = { wrongType: 3, outOfRange: ['elsewhere'] }
  const frame: ScreenFrame = {
    lines: [{ text: 'Pour in', x: 0, y: 0, size: 16, inverse: false }],
    bars: [{ x: 76, y: 34, width: 52, height: 12, filled: 0.5 }],
  }
  const make =
    (open: (options: never) => object) =>
    (options: Record<string, unknown>): never =>
      open(options as never) as never
  return {
    parts: [
      { name: 'clock', good: { engine }, options: anEngine, make: make(openClock) },
      {
        name: 'wall clock',
        good: { engine, clock, keptBy: wiring.clockKeptBy },
        options: { ...anEngine, ...aClock, keptBy: word },
        make: make(openWallClock),
        write: { good: 1_800_000_000, bad: [-1, NaN, Infinity, 'noon'], effect: () => fake.jumpSeconds },
        makeEmpty: () => undefined,
      },
      {
        name: 'analog input',
        good: { engine, pin: wiring.probePin, bits: 12, samples: 8 },
        options: {
          ...anEngine,
          pin: aPin,
          bits: { wrongType: '12', outOfRange: [7, 17] },
          samples: { wrongType: true, outOfRange: [0, 1000] },
        },
        make: make(openAnalogInput),
        makeEmpty: () => {
          fake.analog[wiring.probePin] = NaN
        },
      },
      {
        name: 'button part',
        good: { engine, clock, pin: wiring.buttons.holdPin, debounceMilliseconds: 5 },
        options: {
          ...anEngine,
          ...aClock,
          pin: aPin,
          debounceMilliseconds: { wrongType: '5', outOfRange: [-1, 1000] },
        },
        make: make(openButton),
      },
      {
        name: 'rotation counter',
        good: { engine, clock, pin: 'D9', edge: 'rising', prescale: 1, edgesPerSecondAtMost: 35 },
        options: {
          ...anEngine,
          ...aClock,
          pin: aPin,
          edge: word,
          prescale: { wrongType: null, outOfRange: [0] },
          edgesPerSecondAtMost: { wrongType: '35', outOfRange: [51, -1] },
        },
        make: make(openRotationCounter),
        makeEmpty: () => undefined,
      },
      {
        name: 'supply',
        good: { engine, packPin: wiring.supply.packPin, packRatio: 3, referenceVolts: 3.3, voltsPerAmp: 1 },
        options: {
          ...anEngine,
          packPin: aPin,
          packRatio: { wrongType: '3', outOfRange: [0, 100] },
          referenceVolts: { wrongType: '3', outOfRange: [-1, 12] },
          voltsPerAmp: { wrongType: '1', outOfRange: [0] },
        },
        make: make(openSupply),
        makeEmpty: () => {
          fake.analog[wiring.supply.packPin] = NaN
        },
      },
      {
        name: 'motor part',
        good: goodMotor,
        options: {
          ...anEngine,
          watchdog: { wrongType: 1, outOfRange: [] },
          driver: word,
          pulsePin: aPin,
          backPin: aPin,
          hertz: { wrongType: 'fast', outOfRange: [1, 1e6] },
          deadManSeconds: { wrongType: 'soon', outOfRange: [0, 0.6] },
        },
        make: make(openMotor),
        write: { good: 0.5, bad: [1.1, -2, NaN, 'fast'], effect: () => fake.duty(pulsePin, backPin) },
      },
      {
        name: 'screen',
        good: { engine, ...wiring.screen },
        options: {
          ...anEngine,
          bus: word,
          sdaPin: aPin,
          sclPin: aPin,
          bitrate: { wrongType: '400k', outOfRange: [1] },
          address: { wrongType: '3c', outOfRange: [0, 200] },
          controller: word,
        },
        make: make(openScreen),
        write: {
          good: frame,
          bad: [
            undefined,
            { lines: [...frame.lines, { ...frame.lines[0], text: 'Gr\u00fc\u00dfe' }], bars: [] },
            { lines: [...frame.lines, { ...frame.lines[0], size: 9 }], bars: [] },
            { lines: [], bars: [{ x: 0, y: 0, width: 9, height: 9, filled: 2 }] },
          ],
          effect: () => {
            fake.pass(0.2)
            return [...fake.panel.memory]
          },
        },
      },
      {
        name: 'sounder',
        good: { engine, pin: wiring.sounderPin },
        options: { ...anEngine, pin: aPin },
        make: make(openSounder),
        write: {
          good: [{ hertz: 880, seconds: 0.2 }],
          bad: [
            undefined,
            [
              { hertz: 880, seconds: 0.2 },
              { hertz: -1, seconds: 1 },
            ],
            [{ hertz: 440, seconds: 1e9 }],
          ],
          effect: () => [fake.levels[wiring.sounderPin], fake.hertz[wiring.sounderPin]],
        },
      },
      {
        name: 'watchdog',
        good: { engine, limitSeconds: 1, restSeconds: 8 },
        options: {
          ...anEngine,
          limitSeconds: { wrongType: true, outOfRange: [0, 1.1] },
          restSeconds: { wrongType: true, outOfRange: [0.5, 100] },
        },
        make: make(openWatchdog),
        write: { good: true, bad: [false, 1], effect: () => fake.watchdogSeconds },
      },
      {
        name: 'store part',
        good: goodStore,
        options: {
          ...anEngine,
          motor: { wrongType: 'off', outOfRange: [] },
          address: { wrongType: '0', outOfRange: [-1] },
          bytes: { wrongType: '8k', outOfRange: [1, 20_000] },
          blockBytes: { wrongType: null, outOfRange: [100] },
        },
        make: make(openFlashStore),
      },
      {
        name: 'serial line',
        good: { engine, port: wiring.serialPort },
        options: { ...anEngine, port: word },
        make: make(openLine),
        write: { good: '{}\n', bad: [undefined, 7, 'bell\x07', '\xb0'], effect: () => fake.sent },
        makeEmpty: () => undefined,
      },
      { name: 'files part', good: { engine }, options: anEngine, make: make(openFiles) },
    ],
    open: () => openEspruinoBoard(engine, wiring),
    motor: deadManSeconds => openMotor({ ...goodMotor, deadManSeconds }),
    store: () => openFlashStore(goodStore),
    pass: seconds => fake.pass(seconds),
    dutyAtMotor: () => fake.duty(pulsePin, backPin),
    press: which => fake.setLevel(which === 'advance' ? wiring.buttons.advancePin : wiring.buttons.holdPin, 0),
    release: which => fake.setLevel(which === 'advance' ? wiring.buttons.advancePin : wiring.buttons.holdPin, 1),
    line: () => openLine({ engine, port: wiring.serialPort }),
    receive: bytes => fake.receive(bytes),
    sent: () => fake.sent,
    files: () => openFiles({ engine }),
  }
}

for (const wiring of [pico, stm32f4, esp32]) passesTheContract(`${wiring.name} board`, () => espruinoBoard(wiring))
