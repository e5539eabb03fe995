/**
 * The work of `watch`: asks the base for telemetry and shows each message: on a terminal one line that changes in place,
 * elsewhere a line whenever something changed, with `--json` the object itself of each. Ends with Ctrl-C, which asks the base to stop sending, or
 * when the port goes (`LinkError`). It only looks: nothing that it sends changes what the base does.
 */
import { portNamed } from './flashCommand.ts'
import { openLink, pause } from './link.ts'
import { LinkError } from './messages.ts'
import { type Remote, RemoteError, remoteOver } from './remote.ts'
import { whyNoAnswer } from './talkCommand.ts'
import { telemetryLine } from './telemetryLine.ts'
import { WAITS, type Waits } from './waits.ts'

export interface WatchOptions {
  port?: string
  json?: boolean
}

type Say = (line: string) => void

const EVERY_SECONDS = 1
/** Without a word for so long the base is asked again: it has restarted, or a session has begun or ended. */
const QUIET_SECONDS = 15

export async function watchCommand(
  options: WatchOptions,
  out: Say,
  words: Say,
  waits: Waits = WAITS,
  stop: Promise<void> = interrupted(),
  screen: NodeJS.WriteStream = process.stdout,
): Promise<number> {
  const link = await openLink(await portNamed(options.port))
  const changing = options.json !== true && screen.isTTY === true && process.env['NO_COLOR'] === undefined
  const remote = remoteOver(link, waits)
  let heardAt = Date.now()
  let told = ''
  const silence = remote.onNotification(({ method, params }) => {
    if (method !== 'telemetry') return
    heardAt = Date.now()
    if (options.json === true) out(JSON.stringify(params))
    else if (changing) screen.write(`\r\x1b[K${telemetryLine(params).slice(0, (screen.columns ?? 80) - 1)}`)
    else {
      const line = telemetryLine(params)
      if (line !== told) out(line)
      told = line
    }
  })
  let stopped = false
  const ended = stop.then(() => {
    stopped = true
  })
  try {
    await follow(remote, true)
    words('Watching; Ctrl-C ends it.')
    while (!stopped) {
      await Promise.race([ended, link.gone, pause(1)])
      if (!stopped && Date.now() - heardAt > QUIET_SECONDS * 1000) {
        heardAt = Date.now()
        await follow(remote, true).catch(ignoreSilence)
      }
    }
    await follow(remote, false).catch(ignoreSilence)
    return 0
  } catch (thrown) {
    throw await whyNoAnswer(thrown, link, waits)
  } finally {
    silence()
    if (changing) screen.write('\n')
    await link.close()
  }
}

async function follow(remote: Remote, on: boolean): Promise<void> {
  await remote.question('telemetry.follow', { everySeconds: on ? EVERY_SECONDS : 0 })
}

function ignoreSilence(thrown: unknown): void {
  if (thrown instanceof RemoteError) return
  if (thrown instanceof LinkError && thrown.trouble === 'noAnswer') return
  throw thrown
}

function interrupted(): Promise<void> {
  return new Promise(resolve => process.once('SIGINT', () => resolve()))
}
