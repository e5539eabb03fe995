/** Talking to a firmware and watching it, at rest through the prompt and in a session raw. */
import { beforeAll, expect, test } from 'vitest'
import { openLink } from '../../../sim/link/link.ts'
import { LinkError } from '../../../sim/link/messages.ts'
import { remoteOver } from '../../../sim/link/remote.ts'
import { type TalkOptions, talkCommand } from '../../../sim/link/talkCommand.ts'
import { telemetryLine } from '../../../sim/link/telemetryLine.ts'
import { watchCommand } from '../../../sim/link/watchCommand.ts'
import { needSocat, openPair } from './portPair.ts'
import { smallFirmware } from './programs.ts'
import { boardWith, QUICK } from './quick.ts'
import type { BoardOptions, ScriptedBoard } from './scriptedBoard.ts'

beforeAll(needSocat)

/** A board whose firmware runs, without guard and slots. */
async function running(options: BoardOptions = {}): Promise<ScriptedBoard> {
  const board = await boardWith(options)
  board.evaluate('global.guard={slot:"eb.a",good:true,healthy:function(){}}')
  board.evaluate(smallFirmware('1').text)
  return board
}

interface Said {
  code: number | undefined
  out: string
  words: string
}

async function talk(port: string, method: string, json?: string, options: TalkOptions = {}): Promise<Said> {
  const out: string[] = []
  const words: string[] = []
  try {
    const code = await talkCommand(
      method,
      json,
      { port, ...options },
      one => out.push(one),
      one => words.push(one),
      QUICK,
    )
    return { code, out: out.join('\n'), words: words.join('\n') }
  } catch (thrown) {
    if (!(thrown instanceof LinkError)) throw thrown
    return { code: undefined, out: out.join('\n'), words: `${thrown.trouble}: ${thrown.message}` }
  }
}

test.concurrent('at rest a request goes through the prompt, in a session raw, and back again', async () => {
  const board = await running()
  const link = await openLink(board.path)
  const remote = remoteOver(link, QUICK)
  expect(await remote.request('describe')).toMatchObject({ base: 'evenbath', version: '1' })
  expect(remote.way()).toBe('prompt')
  await remote.request('session.start')
  expect(await remote.request('status')).toMatchObject({ state: 'turning' })
  expect(remote.way()).toBe('raw')
  await remote.request('session.abandon')
  expect(await remote.request('status')).toMatchObject({ state: 'planned' })
  expect(remote.way()).toBe('prompt')
  await link.close()
})

test.concurrent('every character of a long request arrives, through the prompt and raw', async () => {
  const board = await running()
  const link = await openLink(board.path)
  const remote = remoteOver(link, QUICK)
  const params = { text: `${'abc "quoted" \\ \n\t'.repeat(120)}\u00b0C \u20ac` }
  expect(await remote.request('echo', params, 2)).toEqual(params)
  await remote.request('session.start')
  expect(await remote.request('echo', params, 2)).toEqual(params)
  await link.close()
})

test.concurrent('a noisy line: questions are asked until they are answered', async () => {
  const board = await running({ faults: { seed: 5, dropped: 0.001, garbled: 0.001, delayedMilliseconds: 2 } })
  const link = await openLink(board.path)
  const remote = remoteOver(link, QUICK)
  let answered = 0
  for (let i = 0; i < 20; i++) {
    await remote.question('describe').then(
      () => answered++,
      () => undefined,
    )
  }
  expect(answered).toBeGreaterThanOrEqual(18)
  await link.close()
})

test.concurrent('talk prints the result as JSON; a refusal in words, and its exit code', async () => {
  const { path } = await running()
  const good = await talk(path, 'echo', '{"rpm":30}', { json: true })
  expect(good).toEqual({ code: 0, out: '{"rpm":30}', words: '' })
  const refusals: [number, number, RegExp][] = [
    [-32601, 2, /knows no such method/],
    [-32602, 2, /parameters are not right: because/],
    [-32603, 1, /failed at it/],
    [-31000, 2, /refused: because/],
    [-31023, 2, /alarm 23 jammed: Tank jammed: free it/],
  ]
  for (const [code, exit, words] of refusals) {
    const said = await talk(path, 'fail', JSON.stringify({ code }))
    expect(said.code).toBe(exit)
    expect(said.words).toMatch(words)
    expect(said.out).toBe('')
  }
})

test.concurrent('no answer is explained: no firmware, a silent board, or a request that was not answered in time', async () => {
  const plain = await boardWith()
  expect((await talk(plain.path, 'describe')).words).toMatch(/^noFirmware/)
  const dark = await openPair()
  expect((await talk(dark.path, 'describe')).words).toMatch(/^silent/)
  await dark.pull()
  const board = await running()
  const late = await talk(board.path, 'mute', undefined, { timeout: 0.3 })
  expect(late.words).toMatch(/^noAnswer: mute: no answer within 0.3 s/)
})

test.concurrent('watch prints a line for each change off a terminal, each object with --json, and ends cleanly', async () => {
  const board = await running()
  for (const json of [false, true]) {
    const out: string[] = []
    let stop: () => void = () => {}
    const stopped = new Promise<void>(resolve => {
      stop = resolve
    })
    const watching = watchCommand(
      { port: board.path, json },
      line => {
        out.push(line)
        if (out.length === 3) stop()
      },
      () => {},
      QUICK,
      stopped,
    )
    expect(await watching).toBe(0)
    expect(out.length).toBeGreaterThanOrEqual(3)
    if (json) expect(JSON.parse(String(out[0]))).toMatchObject({ bathCelsius: 37.52 })
    else expect(out[0]).toBe('developer (2 of 7): turning, pour out in 1:23, 42.1 %, 37.5 C, 45 rpm, charge 81 %')
    expect(new Set(out).size).toBe(out.length)
    expect(board.evaluate('fw.follow')).toBe(false)
  }
})

test.concurrent('watch ends with its own message when the cable is pulled', async () => {
  const board = await running()
  const watching = watchCommand(
    { port: board.path },
    () => void board.pull(),
    () => {},
    QUICK,
    new Promise(() => {}),
  )
  await expect(watching).rejects.toMatchObject({ trouble: 'pulled' })
})

test.concurrent('a line of telemetry says the most urgent first and survives anything', () => {
  expect(telemetryLine({ state: 'due', bath: 'developer', alarms: [41], says: 'Overdue: pour out' })).toBe(
    'developer: POUR OUT, ALARM 41, Overdue: pour out',
  )
  expect(telemetryLine({ state: 'turning', bath: 'developer', alarms: [10, 99], says: 'Pour out in 1:10' })).toBe(
    'developer: turning, ALARM 10 Probe? By model now, ALARM 99, Pour out in 1:10',
  )
  for (const odd of [undefined, null, 3, [], {}, { state: 4, alarms: 'x' }]) expect(telemetryLine(odd)).not.toBe('')
})
