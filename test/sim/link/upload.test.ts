/** Uploads over a real pseudo-terminal to a board that misbehaves: whatever happens, running it again finishes the job. */
import { beforeAll, expect, test } from 'vitest'
import { openLink } from '../../../sim/link/link.ts'
import { LinkError } from '../../../sim/link/messages.ts'
import { crcOf } from '../../../sim/link/prompt.ts'
import { type UploadOptions, type UploadReport, type UploadStep, upload } from '../../../sim/link/upload.ts'
import { createFakeFlash } from '../../hal/espruino/fakeFlash.ts'
import { needSocat } from './portPair.ts'
import { smallFirmware, smallGuard } from './programs.ts'
import { boardWith, QUICK } from './quick.ts'

beforeAll(needSocat)

interface Done {
  report: UploadReport | undefined
  trouble: LinkError | undefined
  steps: UploadStep[]
}

async function uploadTo(path: string, options: Partial<UploadOptions> = {}, version = '1'): Promise<Done> {
  const link = await openLink(path)
  const steps: UploadStep[] = []
  try {
    const report = await upload(link, {
      choose: () => ({ bundle: smallFirmware(version), guard: smallGuard(), slots: 2 }),
      await: true,
      waits: QUICK,
      reopen: () => openLink(path),
      report: step => steps.push(step),
      ...options,
    })
    return { report, trouble: undefined, steps }
  } catch (thrown) {
    if (!(thrown instanceof LinkError)) throw thrown
    return { report: undefined, trouble: thrown, steps }
  } finally {
    await link.close()
  }
}

/** Works at so many points from near 0 to near `all`, several at a time: most of the time is spent waiting. */
async function atPoints(all: number, count: number, work: (point: number) => Promise<void>): Promise<void> {
  const points = Array.from({ length: count }, (_, i) => 3 + Math.floor((i * (all - 6)) / (count - 1)))
  const next = async (): Promise<void> => {
    for (let point = points.shift(); point !== undefined; point = points.shift()) await work(point)
  }
  await Promise.all(Array.from({ length: 8 }, next))
}

test.concurrent('a first upload puts guard and firmware on a blank board and sees it become healthy', async () => {
  const board = await boardWith()
  const { report, trouble } = await uploadTo(board.path)
  expect(trouble).toBeUndefined()
  expect(report).toMatchObject({ end: 'healthy', slot: 'eb.a', guardWritten: true, runs: '1', keptBytes: 0 })
  expect(board.storage.list().sort()).toEqual(['.bootcde', 'eb.a'])
})

test.concurrent('a second upload fills the other slot, leaves the guard, and the third fills the first again', async () => {
  const board = await boardWith()
  await uploadTo(board.path, {}, '1')
  const second = await uploadTo(board.path, {}, '2')
  expect(second.report).toMatchObject({ end: 'healthy', slot: 'eb.b', guardWritten: false, runs: '2' })
  const third = await uploadTo(board.path, {}, '3')
  expect(third.report).toMatchObject({ end: 'healthy', slot: 'eb.a', runs: '3' })
})

test.concurrent('a firmware that is there and runs is not sent again, and the base is not restarted', async () => {
  const board = await boardWith()
  await uploadTo(board.path)
  const boots = board.boots
  const { report, steps } = await uploadTo(board.path)
  expect(report).toMatchObject({ end: 'healthy', sentBytes: 0 })
  expect(board.boots).toBe(boots)
  expect(steps).toContainEqual({ step: 'present', slot: 'eb.a' })
})

test.concurrent('another guard is put in place before the new slot exists', async () => {
  const board = await boardWith()
  await uploadTo(board.path)
  const lines = board.lines.length
  const guard = smallGuard('a newer one')
  const { report } = await uploadTo(
    board.path,
    { choose: () => ({ bundle: smallFirmware('2'), guard, slots: 2 }) },
    '2',
  )
  expect(report).toMatchObject({ end: 'healthy', guardWritten: true })
  expect(board.storage.read('.bootcde')).toBe(guard.text)
  expect(board.storage.list()).not.toContain('eb.g')
  const later = board.lines.slice(lines)
  const placed = later.findIndex(line => line.includes("S.write(\\'.bootcde\\'"))
  const seal = Buffer.from('\n//').toString('base64')
  const sealed = later.findIndex(line => line.includes(`W(\\'eb.b\\'`) && line.includes(`\\'${seal}`))
  expect(placed).toBeGreaterThan(0)
  expect(sealed).toBeGreaterThan(placed)
})

test.concurrent('the cable pulled after any number of bytes: the old firmware still starts, and a second try finishes', async () => {
  const probe = await boardWith()
  await uploadTo(probe.path, {}, '1')
  const first = probe.heardBytes
  await uploadTo(probe.path, {}, '2')
  const all = probe.heardBytes - first
  let kept = 0
  await atPoints(all, 16, async bytes => {
    const before = await boardWith()
    await uploadTo(before.path, {}, '1')
    before.pullAfterBytes = before.heardBytes + bytes
    const { trouble } = await uploadTo(before.path, {}, '2')
    expect(trouble?.trouble, `pulled after ${bytes}`).toBe('pulled')
    // The same board at a new cable, its power never gone or gone for a while.
    const after = await boardWith({ flash: before.flash })
    expect(after.evaluate('1')).toBe(1)
    const again = await uploadTo(after.path, {}, '2')
    expect(again.report, `pulled after ${bytes}: ${again.trouble?.message}`).toMatchObject({
      end: 'healthy',
      runs: '2',
    })
    kept += again.report?.keptBytes ?? 0
    expect(after.evaluate('guard.slot')).toBe('eb.b')
  })
  expect(kept).toBeGreaterThan(2000)
})

test.concurrent('the power cut in the middle of any flash write: something starts, and a second try finishes', async () => {
  const probe = await boardWith()
  await uploadTo(probe.path, {}, '1')
  const first = probe.flash.steps
  await uploadTo(probe.path, {}, '2')
  const all = probe.flash.steps - first
  await atPoints(all, 16, async steps => {
    const board = await boardWith()
    await uploadTo(board.path, {}, '1')
    board.flash.cutAfterSteps(steps, true)
    const cut = await uploadTo(board.path, {}, '2')
    expect(cut.report?.end ?? cut.trouble?.trouble, `cut after ${steps}`).toMatch(
      /boardLost|silent|notStarted|notHealthy/,
    )
    board.powerOn()
    await new Promise(resolve => setTimeout(resolve, 60))
    expect(board.evaluate('fw.heard'), `cut after ${steps}`).toBe('')
    const again = await uploadTo(board.path, {}, '2')
    expect(again.report, `cut after ${steps}: ${again.trouble?.message}`).toMatchObject({ end: 'healthy', runs: '2' })
  })
})

test.concurrent('a line that loses, changes and delays bytes still carries every byte right', async () => {
  for (const seed of [1, 2, 3]) {
    const faults = { seed, dropped: 0.0004, garbled: 0.0004, delayedMilliseconds: 3 }
    const board = await boardWith({ faults })
    let done: Done | undefined
    for (let tries = 0; tries < 4 && done?.report?.end !== 'healthy'; tries++) done = await uploadTo(board.path)
    expect(done?.report, `seed ${seed}: ${done?.trouble?.message}`).toMatchObject({ end: 'healthy' })
    expect(board.storage.read('eb.a')?.startsWith(smallFirmware('1').text)).toBe(true)
    expect(board.storage.read('.bootcde')).toBe(smallGuard().text)
  }
})

test.concurrent('a board that restarts in mid-way is said to be lost, and a second try goes on where it stopped', async () => {
  let lines = 0
  const board = await boardWith({
    onLine: (_line, self) => {
      if (++lines === 22) self.powerOn()
    },
  })
  const { trouble } = await uploadTo(board.path)
  expect(trouble?.trouble).toBe('boardLost')
  expect(trouble?.message).toContain('Run the same command again')
  const again = await uploadTo(board.path)
  expect(again.report).toMatchObject({ end: 'healthy' })
  expect(again.report?.keptBytes).toBeGreaterThan(200)
})

test.concurrent('an upload is refused while a session runs, and nothing is sent that could disturb it', async () => {
  const board = await boardWith()
  await uploadTo(board.path)
  board.evaluate('fw.answer({id:1,method:"session.start"})')
  const before = board.lines.length
  const { trouble } = await uploadTo(board.path, {}, '2')
  expect(trouble?.trouble).toBe('sessionRuns')
  expect(trouble?.message).toContain('developer, turning')
  expect(board.lines.length).toBe(before)
  expect(board.evaluate('fw.taken')).toBe(true)
})

test.concurrent('a session whose prompt was fetched back by the escape refuses an upload too', async () => {
  const board = await boardWith()
  await uploadTo(board.path)
  board.evaluate('fw.taken=true')
  board.evaluate('E.setConsole("USB")')
  board.evaluate('USB.write=print')
  const { trouble } = await uploadTo(board.path, {}, '2')
  expect(trouble?.trouble).toBe('sessionRuns')
})

test.concurrent('a firmware that never gets healthy is told from one that runs', async () => {
  const board = await boardWith()
  const never = smallFirmware('2', 2000, 0)
  const sick = await uploadTo(board.path, { choose: () => ({ bundle: never, guard: smallGuard(), slots: 2 }) })
  expect(sick.report).toMatchObject({ end: 'notHealthy', runs: '2' })
})

test.concurrent('a firmware that does not start is said so, with what the board printed', async () => {
  const board = await boardWith()
  const text = '//evenbath 3 pico firmware\nnowhere();\n    '
  const broken = { ...smallFirmware('3'), text, crc32: crcOf(text) }
  const dead = await uploadTo(board.path, { choose: () => ({ bundle: broken, guard: smallGuard(), slots: 2 }) })
  expect(dead.report).toMatchObject({ end: 'notStarted', runs: undefined })
  expect(dead.report?.said).toContain('nowhere')
})

test.concurrent('a base that has gone back to the firmware before is seen by its slot', async () => {
  const board = await boardWith()
  await uploadTo(board.path)
  const report = (step: UploadStep): void => {
    // What the guard does with a firmware that has failed twice.
    if (step.step === 'sealed') board.storage.erase('eb.b')
  }
  const back = await uploadTo(board.path, { report }, '2')
  expect(back.report).toMatchObject({ end: 'fellBack', runs: '1' })
})

test.concurrent('a board with one slot is filled again in place', async () => {
  const board = await boardWith()
  const into = (version: string) => ({
    choose: () => ({ bundle: smallFirmware(version), guard: smallGuard(), slots: 1 }),
  })
  await uploadTo(board.path, into('1'))
  const { report } = await uploadTo(board.path, into('2'))
  expect(report).toMatchObject({ end: 'healthy', slot: 'eb.a', runs: '2' })
  expect(board.storage.list()).not.toContain('eb.b')
})

test.concurrent('a store with trash is tidied up, a full one is said to be full and the old firmware is started again', async () => {
  const flash = createFakeFlash(12_288, 4096)
  const board = await boardWith({ flash })
  await uploadTo(board.path, {}, '1')
  let tidied = 0
  for (const version of ['2', '3', '4', '5', '6', '7']) {
    const { report, steps, trouble } = await uploadTo(board.path, {}, version)
    expect(report, trouble?.message).toMatchObject({ end: 'healthy', runs: version })
    tidied += steps.filter(step => step.step === 'tidying').length
  }
  expect(tidied).toBeGreaterThan(0)
  const huge = smallFirmware('8', 11_000)
  const full = await uploadTo(board.path, { choose: () => ({ bundle: huge, guard: smallGuard(), slots: 2 }) })
  expect(full.trouble?.trouble).toBe('storeFull')
  await new Promise(resolve => setTimeout(resolve, 60))
  expect(board.evaluate('guard.good')).toBe(true)
})

test.concurrent('a flash that does not keep what is written never gets a seal', async () => {
  const flash = createFakeFlash()
  const write = flash.write.bind(flash)
  const board = await boardWith({ flash })
  flash.write = (address, data) => {
    write(address, data)
    if (board.storage.addressOf('eb.a') > 0) flash.bytes[board.storage.addressOf('eb.a') + 700] &= 0xf0
  }
  const { trouble } = await uploadTo(board.path)
  expect(trouble?.trouble).toMatch(/storeRefused|crcDiffers/)
  expect(board.storage.read('eb.a') ?? '').not.toContain('\n//0000')
})
