/**
 * The board's own interpreter behind a pseudo-terminal, restarted whenever it ends, as a board restarts. Its flash is a
 * file in a folder of its own, so it outlives a restart. Needs socat and the variable ESPRUINO.
 */
import { spawn } from 'node:child_process'
import { chmodSync, closeSync, constants, mkdtempSync, openSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { ended, untilThere } from './portPair.ts'

export interface InterpreterPort {
  path: string
  /** Ends the interpreter as a power cut would; it starts again by itself. */
  cutPower(): void
  close(): Promise<void>
}

export async function openInterpreter(interpreter: string): Promise<InterpreterPort> {
  const folder = mkdtempSync(join(tmpdir(), 'evenbath-interpreter-'))
  const path = join(folder, 'tty')
  const loop = join(folder, 'loop.sh')
  const script = `#!/bin/sh\ncd '${folder}'\necho $$ >loop\nwhile true; do '${interpreter}' & echo $! >run; wait $!; done\n`
  // A job in the background would get no input: it is given the terminal by name.
  writeFileSync(loop, script.replace("' & echo", "' </dev/tty & echo"))
  chmodSync(loop, 0o700)
  const child = spawn('socat', [`PTY,link=${path},raw,echo=0`, `EXEC:${loop},pty,raw,echo=0,setsid,ctty,stderr`], {
    stdio: 'ignore',
  })
  await untilThere(path)
  await untilThere(join(folder, 'run'))
  const held = openSync(path, constants.O_RDWR | constants.O_NOCTTY)
  const pidIn = (file: string): number => Number(readFileSync(join(folder, file), 'utf8'))
  const kill = (pid: number): void => {
    try {
      process.kill(pid, 'SIGKILL')
    } catch {
      // It has ended by itself.
    }
  }
  return {
    path,
    cutPower: () => kill(pidIn('run')),
    async close() {
      kill(-pidIn('loop'))
      await ended(child)
      closeSync(held)
      rmSync(folder, { recursive: true, force: true })
    },
  }
}
