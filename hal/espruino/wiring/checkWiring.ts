/**
 * Checks a wiring on the laptop, when a bundle is built for it: all problems at once, each with the field, what was
 * found and what is allowed. A board never gets a wiring that did not pass.
 */
import { isPin } from '../checks.ts'
import { type PinRow, pinRows } from './pins.ts'
import { MOST_EDGES_PER_SECOND, type Wiring } from './wiring.ts'

export interface WiringProblem {
  /** As `motor.pulsePin`. */
  field: string
  found: string
  allowed: string
}

/** Empty for a wiring that is right. */
export function checkWiring(wiring: Wiring): WiringProblem[] {
  const problems: WiringProblem[] = []
  const rows = pinRows(wiring)
  checkFacts(wiring, problems)
  checkRotation('shaft', wiring, problems)
  checkRotation('tank', wiring, problems)
  checkPins(rows, problems)
  checkChip(wiring, rows, problems)
  checkPulses(wiring, rows, problems)
  return problems
}

function add(problems: WiringProblem[], good: boolean, field: string, found: unknown, allowed: string): void {
  if (!good) problems.push({ field: field, found: String(found), allowed: allowed })
}

function within(problems: WiringProblem[], field: string, value: unknown, low: number, high: number): void {
  const good = typeof value === 'number' && value >= low && value <= high
  add(problems, good, field, value, 'a number from ' + low + ' to ' + high)
}

function oneOf(problems: WiringProblem[], field: string, value: unknown, words: unknown[]): void {
  add(problems, words.indexOf(value) >= 0, field, value, words.join(', '))
}

function checkFacts(wiring: Wiring, problems: WiringProblem[]): void {
  add(problems, /^[a-z0-9]+$/.test(wiring.name), 'name', wiring.name, 'a-z 0-9')
  oneOf(problems, 'chip', wiring.chip, ['rp2040', 'stm32f4', 'esp32'])
  oneOf(problems, 'slots', wiring.slots, [1, 2])
  oneOf(problems, 'serialPort', wiring.serialPort, ['USB', 'Serial1'])
  oneOf(problems, 'clockKeptBy', wiring.clockKeptBy, ['chip', 'memory'])
  oneOf(problems, 'compactedBy', wiring.compactedBy, ['base', 'laptop'])
  within(problems, 'analog.bits', wiring.analog.bits, 8, 16)
  within(problems, 'analog.samples', wiring.analog.samples, 1, 64)
  within(problems, 'analog.referenceVolts', wiring.analog.referenceVolts, 0, 5)
  within(problems, 'supply.upperOhms', wiring.supply.upperOhms, 1000, 1e7)
  within(problems, 'supply.lowerOhms', wiring.supply.lowerOhms, 1000, 1e6)
  if (wiring.supply.ampsPin !== undefined) {
    within(problems, 'supply.voltsPerAmp', wiring.supply.voltsPerAmp, 0.01, 10)
  }
  oneOf(problems, 'motor.driver', wiring.motor.driver, ['twoPins', 'pinAndDirection'])
  within(problems, 'motor.hertz', wiring.motor.hertz, 50, 50000)
  if (wiring.motor.triggerPin !== undefined) {
    within(problems, 'motor.holdSeconds', wiring.motor.holdSeconds, 0.15, 0.5)
  }
  within(problems, 'buttons.debounceMilliseconds', wiring.buttons.debounceMilliseconds, 0, 15)
  oneOf(problems, 'screen.bus', wiring.screen.bus, ['I2C1', 'I2C2', 'I2C3'])
  oneOf(problems, 'screen.controller', wiring.screen.controller, ['SSD1306', 'SH1106'])
  within(problems, 'screen.address', wiring.screen.address, 8, 119)
  within(problems, 'screen.bitrate', wiring.screen.bitrate, 10000, 1000000)
  within(problems, 'watchdog.limitSeconds', wiring.watchdog.limitSeconds, 0.3, 1)
  // The RP2040's counts to 8.3 s.
  within(problems, 'watchdog.restSeconds', wiring.watchdog.restSeconds, 1, wiring.chip === 'rp2040' ? 8 : 60)
  const journal = wiring.journal
  oneOf(problems, 'journal.kind', journal.kind, ['pages', 'file'])
  within(problems, 'journal.blockBytes', journal.blockBytes, 256, 131072)
  const blocks = journal.bytes / journal.blockBytes
  add(problems, blocks >= 2 && blocks % 1 === 0, 'journal.bytes', journal.bytes, 'two or more times blockBytes')
  if (journal.kind === 'pages') checkPages(wiring.chip, journal, problems)
}

/**
 * Bare pages that belong to nobody, by the engine's own builds: the STM32F4's three of 16 kB behind the boot loader, the
 * ESP32's partition `flash`; the RP2040 has none. The board asks the engine again, but not every engine's answer leaves
 * out its file store.
 */
const BARE_PAGES: { [chip: string]: { from: number; bytes: number } | undefined } = {
  stm32f4: { from: 0x08004000, bytes: 49152 },
  esp32: { from: 0x310000, bytes: 65536 },
}

function checkPages(
  chip: string,
  journal: { address: number; bytes: number; blockBytes: number },
  problems: WiringProblem[],
): void {
  const bare = BARE_PAGES[chip]
  const good =
    bare !== undefined && journal.address >= bare.from && journal.address + journal.bytes <= bare.from + bare.bytes
  add(
    problems,
    good,
    'journal.address',
    journal.address,
    bare === undefined ? 'kind "file" on this chip' : 'in the bare pages',
  )
  add(problems, journal.address % journal.blockBytes === 0, 'journal.address', journal.address, "a page's beginning")
}

function checkRotation(at: 'shaft' | 'tank', wiring: Wiring, problems: WiringProblem[]): void {
  const sensor = wiring[at]
  if (sensor === undefined) return
  oneOf(problems, at + '.edge', sensor.edge, ['rising', 'falling', 'both'])
  within(problems, at + '.prescale', sensor.prescale, 1, 4096)
  const most = sensor.edgesPerSecondAtMost
  add(
    problems,
    most > 0 && most <= MOST_EDGES_PER_SECOND,
    at + '.edgesPerSecondAtMost',
    most,
    'up to ' + MOST_EDGES_PER_SECOND + '; fewer slots, or a counter chip and its prescale',
  )
}

function checkPins(rows: PinRow[], problems: WiringProblem[]): void {
  for (let i = 0; i < rows.length; i++) {
    const row = rows[i]
    add(problems, typeof row.pin === 'string' && isPin(row.pin), row.field, row.pin, 'a pin as D5')
    for (let k = 0; k < i; k++) {
      add(problems, rows[k].pin !== row.pin, row.field, row.pin, 'a pin that ' + rows[k].field + ' does not use')
    }
  }
}

/** What the chips' data sheets and their pin tables in the engine say. */
const ANALOG_PINS: { [chip: string]: RegExp } = {
  rp2040: /^D2[6-9]$/,
  stm32f4: /^(A[0-7]|B[01]|C[0-5])$/,
  esp32: /^D3[2-9]$/,
}

function checkChip(wiring: Wiring, rows: PinRow[], problems: WiringProblem[]): void {
  const numbers: { [number: string]: string | undefined } = {}
  rows.forEach(row => {
    const analog = ANALOG_PINS[wiring.chip]
    if (row.use === 'analog' && analog !== undefined) {
      add(problems, analog.test(row.pin), row.field, row.pin, 'a pin of the analogue converter')
    }
    if (wiring.chip === 'esp32') {
      const drives = row.use === 'pulses' || row.use === 'out' || row.use === 'bus'
      add(problems, !(drives && /^D3[4-9]$/.test(row.pin)), row.field, row.pin, 'a pin that can put out')
      add(problems, !(row.use === 'watched' && /^D3[4-9]$/.test(row.pin)), row.field, row.pin, 'a pin with a pull-up')
      add(problems, !(row.use === 'pulses' && /^D2[56]$/.test(row.pin)), row.field, row.pin, 'no pin of the DAC')
      add(problems, !/^D([6-9]|1[01])$/.test(row.pin), row.field, row.pin, 'no pin of the flash')
    }
    if (wiring.chip === 'stm32f4' && row.use === 'watched') {
      const number = row.pin.substring(1)
      const other = numbers[number]
      add(
        problems,
        other === undefined,
        row.field,
        row.pin,
        'another number than ' + other + ' has: one interrupt for both',
      )
      numbers[number] = row.field
    }
  })
}

/** Pulses of different frequencies must come from different timers. */
function checkPulses(wiring: Wiring, rows: PinRow[], problems: WiringProblem[]): void {
  const groupOf = (pin: string): string | undefined => {
    // RP2040 data sheet, 4.5.2: pin n is on slice (n / 2) mod 8.
    if (wiring.chip === 'rp2040') return 'slice ' + (Math.floor(Number(pin.substring(1)) / 2) % 8)
    return wiring.pulseGroups[pin]
  }
  const sounder = groupOf(wiring.sounderPin)
  rows.forEach(row => {
    if (row.use !== 'pulses') return
    add(problems, groupOf(row.pin) !== undefined, 'pulseGroups', row.pin + ' missing', 'each pin with pulses')
    const alone = row.field === 'sounderPin' || groupOf(row.pin) !== sounder
    add(problems, alone, row.field, row.pin, 'another timer than the sounder has (' + sounder + ')')
  })
}
