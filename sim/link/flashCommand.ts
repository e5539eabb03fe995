/**
 * The work of `flash`: uploads a firmware and says in plain words how it went. Data (`--json`) to `out`, words and
 * progress to `words`. Gives 0 when the firmware has had its healthy minute (or nobody wanted to wait for it), 3 when it
 * has not; what stands in the way is thrown as `LinkError`.
 */
import { slotsOf, wiringFor } from './boards.ts'
import { type BundleText, builtBundle, bundleFile, DIST, hex8, needBuild } from './bundles.ts'
import { openLink } from './link.ts'
import { badBundle, noPort } from './messages.ts'
import { listPorts } from './ports.ts'
import { ProgressLine } from './progressLine.ts'
import type { Greeting } from './prompt.ts'
import { type UploadReport, type UploadStep, upload } from './upload.ts'
import { WAITS, type Waits } from './waits.ts'

export interface FlashOptions {
  port?: string
  wiring?: string
  rehearsal?: boolean
  bundle?: string
  dist?: string
  /** False with `--no-wait`. */
  wait?: boolean
  json?: boolean
}

type Say = (line: string) => void

const NOT_HEALTHY = 3
/** As the build names what is made for no board. */
const NO_WIRING = 'any'

/** The port that was named. Throws `LinkError` with the ports that may be meant. */
export async function portNamed(port: string | undefined): Promise<string> {
  if (port !== undefined && port !== '') return port
  throw noPort((await listPorts()).filter(one => one.likelyBoard).map(one => one.path))
}

export async function flashCommand(options: FlashOptions, out: Say, words: Say, waits: Waits = WAITS): Promise<number> {
  const path = await portNamed(options.port)
  const dist = options.dist ?? DIST
  needBuild(dist)
  const kind = options.rehearsal === true ? 'rehearsal' : 'firmware'
  // What is known before the board is asked is checked before it is touched.
  const given = options.bundle === undefined ? undefined : bundleFile(options.bundle)
  if (given !== undefined && options.rehearsal === true && given.kind !== 'rehearsal') {
    throw badBundle(String(options.bundle), 'a firmware, and --rehearsal was said')
  }
  if (given !== undefined && given.wiring === NO_WIRING) {
    throw badBundle(String(options.bundle), 'it is for no board: it prints a trace and drives no pins')
  }
  const asked = options.wiring ?? given?.wiring
  if (given === undefined && asked !== undefined) builtBundle(dist, kind, asked)
  const choose = (greeting: Greeting): { bundle: BundleText; guard: BundleText; slots: number } => {
    const wiring = wiringFor(greeting.board, asked)
    const bundle = given ?? builtBundle(dist, kind, wiring)
    return { bundle, guard: builtBundle(dist, 'guard', wiring), slots: slotsOf(wiring) }
  }
  let link = await openLink(path)
  const line = new ProgressLine(words)
  const interrupted = (): void => {
    line.end()
    words('Interrupted. The same command goes on where this one stopped.')
    // Out of the plain prompt again, so that the base works as before.
    void link.send('\n\x10load()\n').finally(() => process.exit(130))
  }
  process.once('SIGINT', interrupted)
  const startedAt = Date.now()
  try {
    let bundle: BundleText | undefined
    const report = await upload(link, {
      choose: greeting => {
        const chosen = choose(greeting)
        bundle = chosen.bundle
        if (chosen.slots === 1) line.say('This board has one slot: until the upload is whole it has no firmware.')
        return chosen
      },
      await: options.wait !== false,
      waits,
      reopen: async () => {
        link = await openLink(path)
        return link
      },
      report: step => tellStep(step, line),
    })
    line.end()
    const seconds = (Date.now() - startedAt) / 1000
    const uploaded = bundle as BundleText
    if (options.json === true) {
      const { wiring, version, kind: what, text, crc32 } = uploaded
      const about = { port: path, wiring, version, kind: what, bytes: text.length, crc32: hex8(crc32) }
      out(JSON.stringify({ ...about, seconds: Math.round(seconds * 10) / 10, ...report }, null, 2))
    }
    for (const said of outcome(report, uploaded)) words(said)
    return report.end === 'healthy' || report.end === 'notAwaited' ? 0 : NOT_HEALTHY
  } finally {
    line.end()
    process.off('SIGINT', interrupted)
    await link.close()
  }
}

function kilobytes(bytes: number): string {
  return `${(bytes / 1000).toFixed(1)} kB`
}

function tellStep(step: UploadStep, line: ProgressLine): void {
  switch (step.step) {
    case 'found': {
      const runs = step.firmware === undefined ? 'no firmware runs' : `firmware ${step.firmware} runs, no session`
      line.say(`Found ${step.board} (engine ${step.engineVersion}); ${runs}.`)
      break
    }
    case 'tidying':
      line.say('Tidying up the store: leave the power and the cable on for some seconds.')
      break
    case 'writing':
      if (step.doneBytes === step.keptBytes && step.keptBytes > 0) {
        line.say(`${kilobytes(step.keptBytes)} are there already from an upload that was interrupted.`)
      }
      line.progress(`Writing ${step.slot}`, step.doneBytes, step.ofBytes, kilobytes)
      break
    case 'guard':
      line.say('Writing the guard: leave the power on.')
      break
    case 'present':
      line.say(`This firmware is on the board already (${step.slot}).`)
      break
    case 'sealed':
      line.say(`The board holds it whole; the CRC is right. ${step.slot} is now the newest.`)
      break
    case 'restarting':
      line.say('Restarting.')
      break
    case 'waiting':
      line.waiting('Waiting for its first healthy minute', step.elapsedSeconds)
      break
  }
}

/** How it ended, for people: what is, then what to do. */
export function outcome(report: UploadReport, bundle: BundleText): string[] {
  const name = bundle.kind === 'rehearsal' ? `Rehearsal ${bundle.version}` : `Firmware ${bundle.version}`
  switch (report.end) {
    case 'healthy':
      return [
        `${name} runs from ${report.slot} and has had its first healthy minute. \`talk --port … status\` shows whether an alarm stands.`,
      ]
    case 'notAwaited':
      return [
        `${name} is in ${report.slot} and was started. Nobody waited for its first healthy minute: leave the base on`,
        'for 75 seconds; without that it goes back to the firmware before.',
      ]
    case 'fellBack':
      return [
        `${name} did not reach its first healthy minute; the base has gone back to firmware ${report.runs}, which runs.`,
        'The base can be used as before. Upload another build, or report this one.',
      ]
    case 'notHealthy':
      return [
        `${name} runs, but has not had a healthy minute in the time allowed. The base restarts by itself and, after a`,
        'second failure, goes back to the firmware before. `talk --port … describe` tells what runs.',
        ...saidLines(report.said),
      ]
    case 'notStarted':
      return [
        `${name} is in ${report.slot}, but no firmware answers; the board is at its prompt.`,
        'The guard gives a firmware two tries and then starts the one before, if there is one. Upload another build, or',
        'press the reset button, wait 10 seconds, and ask `talk --port … describe` what runs.',
        ...saidLines(report.said),
      ]
    case 'silent':
      return [
        `${name} was sent and sealed, then the board fell silent. Press its reset button and wait 10 seconds:`,
        'the guard tries it once more, then the firmware before. Then run this command again.',
      ]
  }
}

function saidLines(said: string): string[] {
  return said === '' ? [] : [`The board said: ${said}`]
}
