/**
 * A real pseudo-terminal for tests: what is under test opens its path as a serial port; the test holds the other end as a
 * stream. Needs socat; without it every test fails with the way to get it. A slave end is held open here, because socat
 * takes a closed port for the end.
 */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process'
import { closeSync, constants, existsSync, mkdtempSync, openSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'

export interface PortPair {
  /** The port, as a laptop sees it. */
  path: string
  /** To the laptop. */
  send(text: string): void
  /** Set this: from the laptop. */
  onText: (text: string) => void
  /** The cable is pulled: the port is gone. */
  pull(): Promise<void>
}

export function needSocat(): void {
  if (spawnSync('socat', ['-V']).error !== undefined) {
    throw new Error('socat is missing, and these tests need it: apt-get install -y socat')
  }
}

const pause = (milliseconds: number): Promise<void> => new Promise(resolve => setTimeout(resolve, milliseconds))

/** Waits until a file is there. */
export async function untilThere(path: string): Promise<void> {
  for (let tries = 0; !existsSync(path); tries++) {
    if (tries > 1000) throw new Error(`socat made no ${path}`)
    await pause(2)
  }
}

/** Ends a child and waits until it has ended. */
export async function ended(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null || child.signalCode !== null) return
  const end = new Promise(resolve => child.once('exit', resolve))
  child.kill()
  await end
}

export async function openPair(): Promise<PortPair> {
  const folder = mkdtempSync(join(tmpdir(), 'evenbath-port-'))
  const path = join(folder, 'tty')
  const child = spawn('socat', [`PTY,link=${path},raw,echo=0`, 'STDIO'], { stdio: ['pipe', 'pipe', 'ignore'] })
  child.stdin.on('error', () => {})
  await untilThere(path)
  const held = openSync(path, constants.O_RDWR | constants.O_NOCTTY)
  let open = true
  const pair: PortPair = {
    path,
    onText: () => {},
    send: text => {
      if (open) child.stdin.write(Buffer.from(text, 'latin1'))
    },
    async pull() {
      if (!open) return
      open = false
      await ended(child)
      closeSync(held)
      rmSync(folder, { recursive: true, force: true })
    },
  }
  child.stdout.on('data', (bytes: Buffer) => {
    if (open) pair.onText(bytes.toString('latin1'))
  })
  return pair
}
