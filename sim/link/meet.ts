/**
 * Who is at the other end of a port, before anything is changed there: the engine's prompt, with or without a firmware,
 * or a firmware in a session. Assumes nothing. Refuses in a session, and says what is the matter when nobody answers, by
 * throwing `LinkError`. Nothing that is sent here disturbs a session: in one, unframed text is thrown away.
 */
import { type Link, pause } from './link.ts'
import { LinkError, sessionRuns } from './messages.ts'
import { type Greeting, greet, noGreeting } from './prompt.ts'
import { type Remote, RemoteError } from './remote.ts'
import type { Waits } from './waits.ts'

/** What `describe` tells that matters here. */
export interface Description {
  version: string
  slot: string | undefined
  good: boolean
}

/** Asks a firmware who it is. Throws `LinkError` or `RemoteError`. */
export async function describe(remote: Remote, seconds: number): Promise<Description> {
  const found = (await remote.request('describe', undefined, seconds)) as Partial<Description> | null
  return {
    version: String(found?.version ?? '?'),
    slot: typeof found?.slot === 'string' ? found.slot : undefined,
    good: found?.good === true,
  }
}

/** States of `status` in which nothing is under way. */
const AT_REST = ['planned', 'finished', 'abandoned']

/** What a running session is called, from `status`; `undefined` at rest. */
export function sessionIn(status: unknown): string | undefined {
  const { state, bath, testTurn } = (status ?? {}) as { state?: unknown; bath?: unknown; testTurn?: unknown }
  if (testTurn === 'running') return 'the motor turns for a test'
  if (typeof state !== 'string' || AT_REST.includes(state)) return undefined
  return typeof bath === 'string' ? `${bath}, ${state}` : state
}

/** Throws when a session runs. A firmware that says nothing cannot be in one: its watchdog would have restarted it. */
async function refuseInSession(remote: Remote): Promise<void> {
  let status: unknown
  try {
    status = await remote.question('status')
  } catch (thrown) {
    if (thrown instanceof RemoteError) return
    if (thrown instanceof LinkError && thrown.trouble === 'noAnswer') return
    throw thrown
  }
  const running = sessionIn(status)
  if (running !== undefined) throw sessionRuns(running)
}

/** Finds out who is at the other end; refuses in a session. Throws `LinkError`. */
export async function meet(link: Link, remote: Remote, waits: Waits): Promise<Greeting> {
  let greeting = await greet(link, waits, false)
  if (greeting === undefined) {
    // In a session the firmware has the port and the prompt is silent.
    const status = await remote.request('status', undefined, waits.replySeconds).catch(thrown => {
      if (thrown instanceof LinkError && thrown.trouble === 'noAnswer') return undefined
      if (thrown instanceof RemoteError) return undefined
      throw thrown
    })
    const running = sessionIn(status)
    if (running !== undefined) throw sessionRuns(running)
    greeting = await greet(link, waits, true)
  }
  if (greeting === undefined && link.heardCharacters() > 0) {
    await pause(waits.interruptSeconds)
    greeting = await greet(link, waits, true)
  }
  if (greeting === undefined) throw noGreeting(link)
  if (greeting.firmware) await refuseInSession(remote)
  return greeting
}
