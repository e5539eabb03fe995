/** The built guard: what it starts, what it gives up, and that the prompt is always to be had. */
import { beforeAll, expect, test } from 'vitest'
import { GUARD_FILE, SLOT_FILES } from '../../../hal/espruino/guard/slots.ts'
import { pico } from '../../../hal/espruino/wiring/pico.ts'
import { builtGuard, createGuardBench, type GuardBench, padded, startIn, upload } from './guardBench.ts'

let guard = ''
beforeAll(async () => {
  guard = await builtGuard(pico)
})

/** Reaches its first healthy minute. */
const goodFirmware = (name: string): string =>
  `print("${name} runs");var n=0;setInterval(function(){if(++n===60)global.guard.healthy()},1000);`

const images = new Map<string, Uint8Array>()

/** A board with these firmwares uploaded one after the other, each run until it is good. */
const fresh = (...firmwares: string[]): GuardBench => within(20_000, ...firmwares)

/** The same, with a limit of wall time for firmwares that loop. */
const within = (limitMilliseconds: number, ...firmwares: string[]): GuardBench => {
  const bench = createGuardBench(undefined, limitMilliseconds)
  const known = images.get(firmwares.join())
  if (known !== undefined) {
    bench.flash.bytes.set(known)
    return bench
  }
  bench.storage.write(GUARD_FILE, padded(guard))
  for (const firmware of firmwares) {
    upload(bench.storage, SLOT_FILES, firmware)
    bench.powerOn()
    bench.run(70)
  }
  images.set(firmwares.join(), bench.flash.bytes.slice())
  return within(limitMilliseconds, ...firmwares)
}

test('the guard is small', () => {
  expect(guard.length).toBeLessThan(3000)
})

test('with nothing to start it leaves the prompt, and says so', () => {
  const bench = fresh()
  bench.powerOn()
  expect(bench.console).toBeNull()
  bench.run(10)
  expect([bench.console, bench.printed, bench.restarts]).toEqual([
    'USB',
    ['no firmware to start'],
    { reboots: 0, watchdog: 0 },
  ])
})

test('a firmware starts after the listening time, with the motor held still until then', () => {
  const bench = fresh('print("runs at "+guard.slot+" "+guard.good)')
  bench.powerOn()
  expect(bench.pins).toEqual({ D10: 0, D11: 0, D12: 0 })
  bench.run(2.9)
  expect(bench.printed).toEqual([])
  bench.run(0.2)
  expect(bench.printed).toEqual(['runs at eb.a false'])
  expect(bench.console).toBe('USB')
})

test('a firmware is marked good after its first healthy minute, and stays so', () => {
  const bench = fresh()
  upload(bench.storage, SLOT_FILES, goodFirmware('A'))
  bench.powerOn()
  bench.run(60)
  expect(startIn(bench.storage, SLOT_FILES)).toMatchObject({ good: false, tries: 1 })
  bench.run(10)
  expect(startIn(bench.storage, SLOT_FILES)).toMatchObject({ good: true, tries: 1 })
  const steps = bench.flash.steps
  for (let start = 0; start < 4; start++) {
    bench.powerOn()
    bench.run(5)
  }
  expect(startIn(bench.storage, SLOT_FILES)).toMatchObject({ good: true, tries: 1 })
  // A start of a good firmware writes nothing.
  expect(bench.flash.steps).toBe(steps)
  expect(bench.restarts).toEqual({ reboots: 0, watchdog: 0 })
})

const bad: [string, string, number][] = [
  // What it is, its text, and the seconds within which both tries must be over.
  ['throws at once', 'print("bad runs");throw new Error("at once")', 12],
  ['is no program', 'print("bad runs");var = 3', 12],
  ['throws after a second', 'print("bad runs");setTimeout(function(){throw new Error("later")},1000)', 14],
  ['throws in its first tick', 'print("bad runs");setInterval(function(){throw new Error("tick")},100)', 12],
  ['runs out of memory while it starts', 'print("bad runs");try{exhaust(false)}catch(e){for(;;);}', 14],
  ['runs out of memory in a tick', 'print("bad runs");setInterval(function(){exhaust(false);guard.healthy()},100)', 14],
  ['fills the memory for good', 'print("bad runs");setTimeout(function(){exhaust(true)},1000)', 40],
  ['loops for ever at once', 'print("bad runs");for(;;);', 40],
  ['loops for ever in a tick', 'print("bad runs");setInterval(function(){for(;;);},100)', 40],
  ['does nothing', 'print("bad runs");', 170],
  ['restarts itself', 'print("bad runs");setTimeout(function(){E.reboot()},20000)', 60],
]

for (const [what, firmware, seconds] of bad) {
  test(`a firmware that ${what} is tried twice and then left for the one before`, () => {
    fresh(goodFirmware('A'))
    const bench = within(firmware.includes('for(;;)') ? 400 : 20_000, goodFirmware('A'))
    upload(bench.storage, SLOT_FILES, firmware)
    bench.load()
    bench.run(seconds)
    const runs = bench.printed.filter(line => line.endsWith(' runs'))
    // A text that is no program never gets to say that it runs.
    expect(runs).toEqual(what === 'is no program' ? ['A runs'] : ['bad runs', 'bad runs', 'A runs'])
    bench.run(200)
    expect(startIn(bench.storage, SLOT_FILES)).toMatchObject({ name: 'eb.a', good: true })
    expect(bench.restarts.reboots + bench.restarts.watchdog).toBe(2)
    expect(bench.console).toBe('USB')
  })
}

test('with both slots given up there is the plain prompt, and no more restarts', () => {
  const bench = fresh()
  upload(bench.storage, SLOT_FILES, 'throw 1')
  upload(bench.storage, SLOT_FILES, 'throw 2')
  bench.powerOn()
  bench.run(60)
  expect(bench.printed.at(-1)).toBe('no firmware to start')
  expect(bench.restarts).toEqual({ reboots: 4, watchdog: 0 })
  expect([bench.console, bench.timers]).toEqual(['USB', 0])
  upload(bench.storage, SLOT_FILES, goodFirmware('C'))
  bench.load()
  bench.run(70)
  expect(startIn(bench.storage, SLOT_FILES)).toMatchObject({ good: true })
})

test('a good firmware that fails later is not given up: its restarts are its own', () => {
  const bench = fresh(goodFirmware('A'))
  for (let start = 0; start < 5; start++) {
    bench.powerOn()
    bench.run(20)
  }
  expect(bench.printed).toEqual(['A runs', 'A runs', 'A runs', 'A runs', 'A runs'])
})

test('a slip at the prompt after the first seconds does not restart a firmware on probation', () => {
  const bench = fresh()
  upload(bench.storage, SLOT_FILES, `${goodFirmware('A')}setTimeout(function(){nobody()},15000)`)
  bench.powerOn()
  bench.run(70)
  expect(bench.restarts).toEqual({ reboots: 0, watchdog: 0 })
  expect(startIn(bench.storage, SLOT_FILES)).toMatchObject({ good: true })
})

test('a slot with one flipped bit is not started', () => {
  const bench = fresh(goodFirmware('A'), goodFirmware('B'))
  const at = bench.storage.addressOf('eb.b')
  for (let bit = 0; bit < 8; bit++) {
    bench.flash.bytes[at + 11 * bit] ^= 1 << bit
    bench.powerOn()
    bench.run(5)
    expect(bench.printed.at(-1)).toBe('A runs')
    bench.flash.bytes[at + 11 * bit] ^= 1 << bit
  }
  bench.powerOn()
  bench.run(5)
  expect(bench.printed.at(-1)).toBe('B runs')
})

test('an interrupt in the first seconds always leaves the plain prompt', () => {
  for (let tenth = 0; tenth < 30; tenth++) {
    const bench = fresh(goodFirmware('A'))
    bench.powerOn()
    bench.run(tenth / 10)
    bench.send('\x03')
    bench.run(20)
    expect([bench.console, bench.printed, bench.timers]).toEqual(['USB', ['plain prompt'], 0])
    bench.send('1+1\n')
    expect(bench.typed).toBe('1+1\n')
  }
})

test('an interrupt among other bytes counts, and other bytes alone do not', () => {
  const bench = fresh(goodFirmware('A'))
  bench.powerOn()
  bench.run(1)
  bench.send('AT+GCAP\r\n')
  bench.run(3)
  expect(bench.printed).toEqual(['A runs'])
  bench.powerOn()
  bench.run(1)
  bench.send('AT\r\x03\x03')
  bench.run(3)
  expect(bench.printed).toEqual(['A runs', 'plain prompt'])
})

test('whatever the firmware does, the next start listens again', () => {
  const bench = within(400)
  upload(bench.storage, SLOT_FILES, 'E.setConsole(null);for(;;);')
  bench.powerOn()
  bench.run(4)
  expect([bench.restarts.watchdog, bench.console]).toEqual([1, null])
  bench.send('\x03')
  bench.run(30)
  expect([bench.console, bench.printed.at(-1)]).toEqual(['USB', 'plain prompt'])
})

test('wiping all at the prompt does not leave a watchdog that nobody feeds', () => {
  const bench = fresh()
  upload(bench.storage, SLOT_FILES, goodFirmware('A'))
  bench.powerOn()
  bench.run(10)
  bench.reset()
  bench.run(100)
  expect(bench.restarts).toEqual({ reboots: 0, watchdog: 0 })
})
