/** Uploads over a real pseudo-terminal to a board that misbehaves: whatever happens, running it again finishes the job. */
import { afterEach, beforeAll, expect, test } from 'vitest'
import { openLink } from '../../../sim/link/link.ts'
import { LinkError } from '../../../sim/link/messages.ts'
import { type UploadOptions, type UploadReport, type UploadStep, upload } from '../../../sim/link/upload.ts'
import { WAITS, type Waits } from '../../../sim/link/waits.ts'
import { needSocat } from './portPair.ts'
import { smallFirmware, smallGuard } from './programs.ts'
import { type BoardOptions, type ScriptedBoard, startBoard } from './scriptedBoard.ts'

const QUICK: Waits = {
  ...WAITS,
  answerSeconds: 0.15,
  slowSeconds: 0.3,
  interruptSeconds: 0.2,
  resetSeconds: 1,
  bootSeconds: 0.05,
  startSeconds: 1,
  healthySeconds: 1.5,
  pollSeconds: 0.05,
  hearSeconds: 0.2,
  replySeconds: 0.4,
}

beforeAll(needSocat)

const boards: ScriptedBoard[] = []
afterEach(async () => {
  for (const board of boards.splice(0)) await board.close()
})

async function boardWith(options: BoardOptions = {}): Promise<ScriptedBoard> {
  const board = await startBoard(options)
  boards.push(board)
  return board
}

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

test('a first upload puts guard and firmware on a blank board and sees it become healthy', async () => {
  const board = await boardWith()
  const { report, trouble } = await uploadTo(board.path)
  expect(trouble).toBeUndefined()
  expect(report).toMatchObject({ end: 'healthy', slot: 'eb.a', guardWritten: true, runs: '1', keptBytes: 0 })
  expect(board.storage.list().sort()).toEqual(['.bootcde', 'eb.a'])
})

test('a second upload fills the other slot, leaves the guard, and the third fills the first again', async () => {
  const board = await boardWith()
  await uploadTo(board.path, {}, '1')
  const second = await uploadTo(board.path, {}, '2')
  expect(second.report).toMatchObject({ end: 'healthy', slot: 'eb.b', guardWritten: false, runs: '2' })
  const third = await uploadTo(board.path, {}, '3')
  expect(third.report).toMatchObject({ end: 'healthy', slot: 'eb.a', runs: '3' })
})

test('a firmware that is there and runs is not sent again, and the base is not restarted', async () => {
  const board = await boardWith()
  await uploadTo(board.path)
  const boots = board.boots
  const { report, steps } = await uploadTo(board.path)
  expect(report).toMatchObject({ end: 'healthy', sentBytes: 0 })
  expect(board.boots).toBe(boots)
  expect(steps).toContainEqual({ step: 'present', slot: 'eb.a' })
})

test('another guard is put in place before the new slot exists', async () => {
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

test('the cable pulled after any number of bytes: the old firmware still starts, and a second try finishes', async () => {
  const probe = await boardWith()
  await uploadTo(probe.path, {}, '1')
  const first = probe.heardBytes
  await uploadTo(probe.path, {}, '2')
  const all = probe.heardBytes - first
  let kept = 0
  for (let bytes = 40; bytes < all; bytes += Math.ceil(all / 24)) {
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
  }
  expect(kept).toBeGreaterThan(2000)
})

test('the power cut in the middle of any flash write: something starts, and a second try finishes', async () => {
  const probe = await boardWith()
  await uploadTo(probe.path, {}, '1')
  const first = probe.flash.steps
  await uploadTo(probe.path, {}, '2')
  const all = probe.flash.steps - first
  for (let steps = 3; steps < all; steps += Math.ceil(all / 16)) {
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
  }
})

test('a line that loses, changes and delays bytes still carries every byte right', async () => {
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

test('a board that restarts in mid-way is said to be lost, and a second try goes on where it stopped', async () => {
  let lines = 0
  const board = await boardWith({
    onLine: (_line, self) => {
      if (++lines === 14) self.powerOn()
    },
  })
  const { trouble } = await uploadTo(board.path)
  expect(trouble?.trouble).toBe('boardLost')
  expect(trouble?.message).toContain('Run the same command again')
  const again = await uploadTo(board.path)
  expect(again.report).toMatchObject({ end: 'healthy' })
  expect(again.report?.keptBytes).toBeGreaterThan(200)
})
