/**
 * A serial port as a stream of text, one character a byte. Assumes nothing of what is at the other end. Opening fails
 * with a `LinkError` that says what to do; once open, the end of the port is reported once through `onEnd`.
 *
 * The serial library is loaded when a port is opened and not before: it has a native part, slow to load and not there on
 * every machine.
 */
import { statSync } from 'node:fs'
import type { SerialPort } from 'serialport'
import { busy, cannotOpen, type LinkError, noDriver, noPermission, noSuchPort, notSerial } from './messages.ts'

export const BAUD = 115_200

/** How often the name of an open port is looked at. */
const LOOK_MILLISECONDS = 200

export interface Wire {
  readonly path: string
  /** Ends when the system has taken the text. */
  write(text: string): Promise<void>
  close(): Promise<void>
  /** Set these before the first `await` after opening. */
  onText: (text: string) => void
  /** The port has gone without being closed from here. */
  onEnd: () => void
}

/** What the system said, as the message for the maker. The texts are those of the serial library and of Windows. */
export function openTrouble(path: string, reason: string): LinkError {
  if (/no such file|file not found|ENOENT|ENXIO|ENODEV|no such device/i.test(reason)) return noSuchPort(path)
  if (/lock|busy|temporarily unavailable|access denied/i.test(reason)) return busy(path)
  if (/permission|EACCES|EPERM|not permitted/i.test(reason)) return noPermission(path)
  if (/inappropriate|not a tty|ENOTTY|is a directory|EISDIR|invalid argument/i.test(reason)) return notSerial(path)
  return cannotOpen(path, reason.replace(/^Error:? */, ''))
}

/** A name in the file system that cannot be a port: said before the library gives a darker reason. */
function plainFile(path: string): boolean {
  if (process.platform === 'win32') return false
  const found = statSync(path, { throwIfNoEntry: false })
  return found !== undefined && !found.isCharacterDevice()
}

/** Which device the name stands for now: another after it was pulled and plugged in again. Windows has no such names. */
function deviceAt(path: string): number {
  return process.platform === 'win32' ? 0 : (statSync(path, { throwIfNoEntry: false })?.ino ?? -1)
}

async function library(): Promise<typeof import('serialport')> {
  try {
    return await import('serialport')
  } catch (thrown) {
    throw noDriver(((thrown as Error).message ?? String(thrown)).split('\n')[0] as string)
  }
}

/** Opens a port: 115200 baud, 8 bits, no parity, one stop bit, ready lines on. Throws `LinkError`. */
export async function openWire(path: string): Promise<Wire> {
  if (plainFile(path)) throw notSerial(path)
  const { SerialPort } = await library()
  const port: SerialPort = await new Promise((resolve, reject) => {
    const opened = new SerialPort({ path, baudRate: BAUD, autoOpen: false })
    opened.open(failed => (failed ? reject(openTrouble(path, failed.message)) : resolve(opened)))
  })
  // Both lines on: a board whose reset hangs on the difference of the two is left alone. A pseudo-terminal has none.
  await new Promise<void>(resolve => port.set({ dtr: true, rts: true }, () => resolve()))

  const opened = deviceAt(path)
  let ended = false
  const end = (): void => {
    if (ended) return
    ended = true
    clearInterval(looking)
    wire.onEnd()
  }
  // Some systems report a pulled cable as reads of nothing, which the library repeats for ever: so look at the name itself.
  const looking = setInterval(() => {
    if (deviceAt(path) === opened) return
    end()
    if (port.isOpen) port.close(() => {})
  }, LOOK_MILLISECONDS)
  looking.unref()
  const wire: Wire = {
    path,
    onText: () => {},
    onEnd: () => {},
    write: text =>
      new Promise((resolve, reject) => {
        if (!port.isOpen) reject(noSuchPort(path))
        else port.write(Buffer.from(text, 'latin1'), failed => (failed ? reject(failed) : resolve()))
      }),
    close: () =>
      new Promise(resolve => {
        ended = true
        clearInterval(looking)
        if (port.isOpen) port.close(() => resolve())
        else resolve()
      }),
  }
  port.on('data', (bytes: Buffer) => wire.onText(bytes.toString('latin1')))
  port.on('close', end)
  port.on('error', end)
  return wire
}
