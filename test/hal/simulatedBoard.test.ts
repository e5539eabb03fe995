import type { ScreenFrame } from '../../hal/board.ts'
import {
  openSimulatedBoard,
  SimulatedAnalogInput,
  SimulatedButton,
  SimulatedClock,
  SimulatedFiles,
  SimulatedLine,
  SimulatedMotor,
  SimulatedRotationCounter,
  SimulatedScreen,
  SimulatedSounder,
  SimulatedSupply,
  SimulatedWallClock,
  SimulatedWatchdog,
} from '../../sim/board.ts'
import { createPins, drivenDuty, pressButton, releaseButton, sendToLine } from '../../sim/plant/pins.ts'
import { SimulatedStore } from '../../sim/store.ts'
import { type BoardUnderTest, passesTheContract } from './contract.ts'

function simulatedBoard(): BoardUnderTest {
  const pins = createPins()
  pins.probeCounts = 2000
  pins.packVolts = 7.4
  pins.motorAmps = 0.1
  const pinsOption = { pins: { wrongType: 7, outOfRange: [] } }
  const word = (): { wrongType: unknown; outOfRange: unknown[] } => ({ wrongType: 3, outOfRange: ['elsewhere'] })
  const frame: ScreenFrame = { lines: [{ text: 'Pour in', x: 0, y: 0, size: 16, inverse: false }], bars: [] }
  return {
    parts: [
      { name: 'clock', good: { pins }, options: pinsOption, make: o => new SimulatedClock(o as never) },
      {
        name: 'wall clock',
        good: { pins },
        options: pinsOption,
        make: o => new SimulatedWallClock(o as never),
        write: { good: 1000, bad: [-1, NaN, Infinity, 'noon'], effect: () => pins.wallOffsetSeconds },
        makeEmpty: () => {
          pins.wallOffsetSeconds = NaN
        },
      },
      {
        name: 'analog input',
        good: { pins, channel: 'probe', bits: 12 },
        options: { ...pinsOption, channel: word(), bits: { wrongType: '12', outOfRange: [7, 17] } },
        make: o => new SimulatedAnalogInput(o as never),
        makeEmpty: () => {
          pins.probeCounts = NaN
        },
      },
      {
        name: 'button part',
        good: { pins, which: 'advance' },
        options: { ...pinsOption, which: word() },
        make: o => new SimulatedButton(o as never),
      },
      {
        name: 'rotation counter',
        good: { pins, at: 'shaft' },
        options: { ...pinsOption, at: word() },
        make: o => new SimulatedRotationCounter(o as never),
        makeEmpty: () => undefined,
      },
      {
        name: 'supply',
        good: { pins },
        options: pinsOption,
        make: o => new SimulatedSupply(o as never),
        makeEmpty: () => {
          pins.packVolts = NaN
        },
      },
      {
        name: 'motor part',
        good: { pins, deadManSeconds: 0.5 },
        options: { ...pinsOption, deadManSeconds: { wrongType: 'soon', outOfRange: [0, 0.6] } },
        make: o => new SimulatedMotor(o as never),
        write: { good: 0.5, bad: [1.1, -2, NaN, 'fast'], effect: () => pins.motorDuty },
      },
      {
        name: 'screen',
        good: { pins },
        options: pinsOption,
        make: o => new SimulatedScreen(o as never),
        write: {
          good: frame,
          bad: [
            undefined,
            { lines: [...frame.lines, { ...frame.lines[0], text: 'Gr\u00fc\u00dfe' }], bars: [] },
            { lines: [...frame.lines, { ...frame.lines[0], size: 9 }], bars: [] },
            { lines: [], bars: [{ x: 0, y: 0, width: 9, height: 9, filled: 2 }] },
          ],
          effect: () => structuredClone([pins.screen, pins.screenWrites]),
        },
      },
      {
        name: 'sounder',
        good: { pins },
        options: pinsOption,
        make: o => new SimulatedSounder(o as never),
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
          effect: () => structuredClone([pins.tones, pins.tonesWrites]),
        },
      },
      {
        name: 'watchdog',
        good: { pins, limitSeconds: 1 },
        options: { ...pinsOption, limitSeconds: { wrongType: true, outOfRange: [0, 9] } },
        make: o => new SimulatedWatchdog(o as never),
        write: { good: true, bad: [false, 1], effect: () => pins.watchdogDueSeconds },
      },
      {
        name: 'store part',
        good: { pins, bytes: 8192, blockBytes: 4096 },
        options: {
          ...pinsOption,
          bytes: { wrongType: '8k', outOfRange: [1, 5000] },
          blockBytes: { wrongType: null, outOfRange: [100] },
        },
        make: o => new SimulatedStore(o as never),
      },
      {
        name: 'serial line',
        good: { pins },
        options: pinsOption,
        make: o => new SimulatedLine(o as never),
        write: { good: '{}\n', bad: [undefined, 7, 'bell\x07', '\xb0'], effect: () => pins.lineOut },
        makeEmpty: () => undefined,
      },
      {
        name: 'files part',
        good: { pins, bytes: 32_768 },
        options: { ...pinsOption, bytes: { wrongType: '32k', outOfRange: [1] } },
        make: o => new SimulatedFiles(o as never),
      },
    ],
    open: () => openSimulatedBoard({ pins, adcBits: 12, hasRoom: true, hasShaft: true, hasTank: true }),
    motor: deadManSeconds => new SimulatedMotor({ pins, deadManSeconds }),
    store: () => new SimulatedStore({ pins, bytes: 8192, blockBytes: 4096 }),
    pass: seconds => {
      pins.seconds += seconds
    },
    dutyAtMotor: () => drivenDuty(pins),
    press: which => pressButton(pins, which),
    release: which => releaseButton(pins, which),
    line: () => new SimulatedLine({ pins }),
    receive: bytes => sendToLine(pins, bytes),
    sent: () => pins.lineOut,
    files: () => new SimulatedFiles({ pins, bytes: 32_768 }),
  }
}

passesTheContract('simulated board', simulatedBoard)
