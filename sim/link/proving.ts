/**
 * The time after an upload: the board restarts, the guard starts the new firmware on probation, and after its first
 * healthy minute it is good. Assumes that it was restarted a few seconds ago. A restart may take the port away and bring
 * it back. Gives how it ended; throws `LinkError` only when the port has gone for good.
 */
import { type Link, pause } from './link.ts'
import { type Description, describe } from './meet.ts'
import { LinkError, pulled } from './messages.ts'
import { greet } from './prompt.ts'
import { RemoteError, remoteOver } from './remote.ts'
import type { UploadEnd, UploadOptions } from './upload.ts'

/** The port again after a restart of the board took it away. Throws the first trouble when it does not come back. */
async function reopened(path: string, options: UploadOptions): Promise<Link> {
  const until = Date.now() + options.waits.reopenSeconds * 1000
  for (;;) {
    try {
      return await options.reopen()
    } catch (thrown) {
      if (!(thrown instanceof LinkError)) throw thrown
      if (Date.now() > until) throw pulled(path)
      await pause(Math.min(0.5, options.waits.reopenSeconds / 4))
    }
  }
}

/** Waits for the firmware after a restart, then for its healthy mark. */
export async function awaitHealthy(
  started: Link,
  slot: string,
  options: UploadOptions,
): Promise<{ end: UploadEnd; runs: string | undefined; said: string }> {
  const { waits } = options
  const startedAt = Date.now()
  const elapsed = (): number => (Date.now() - startedAt) / 1000
  let link = started
  let seen: Description | undefined
  let heardAt = 0
  let restarted = false
  // What it printed by itself: later words may be answers to requests that nobody understood.
  const first = lastWords(link)
  for (;;) {
    try {
      seen = await describe(remoteOver(link, waits), waits.replySeconds)
      heardAt = elapsed()
      if (seen.slot !== undefined && seen.slot !== slot) return { end: 'fellBack', runs: seen.version, said: '' }
      if (seen.good) return { end: 'healthy', runs: seen.version, said: '' }
      await Promise.race([pause(waits.pollSeconds), link.gone])
    } catch (thrown) {
      const trouble = thrown instanceof LinkError ? thrown.trouble : undefined
      if (trouble === 'pulled') {
        // A board whose port is its own takes it along when it restarts.
        link = await reopened(link.path, options)
        restarted = true
      } else if (trouble === 'noAnswer') restarted = seen !== undefined
      else if (!(thrown instanceof RemoteError)) throw thrown
      // An interrupt in the guard's first seconds would keep the firmware off; a request is only thrown away.
      await Promise.race([pause(waits.pollSeconds), link.gone]).catch(() => {})
    }
    options.report({ step: 'waiting', elapsedSeconds: elapsed() })
    // The guard gives it two starts.
    const limit = seen === undefined ? waits.startSeconds : waits.healthySeconds * (restarted ? 2 : 1)
    if (elapsed() > limit) break
  }
  const said = first === '' ? lastWords(link) : first
  if (seen !== undefined && elapsed() - heardAt < waits.bootSeconds * 2) {
    return { end: 'notHealthy', runs: seen.version, said }
  }
  const greeting = await greet(link, waits, false)
  return { end: greeting === undefined ? 'silent' : 'notStarted', runs: undefined, said }
}

/** The end of what the board printed, on one line. */
function lastWords(link: Link): string {
  return link
    .heard()
    .replace(/[^ -~]+/g, ' ')
    .trim()
    .slice(-200)
}
