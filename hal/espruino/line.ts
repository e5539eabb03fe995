/**
 * The serial line. At rest the engine's prompt has the port, and the global function `hear` puts what the laptop sends
 * through the prompt into the same buffer as bytes that come while the line is taken; each call is answered with what
 * it took, so that the laptop can pace itself. While the line is taken an interrupt (0x03) is a byte like any other.
 *
 * Sending never waits. The engine would, until there is room in its own sending buffer, and a host that does not read
 * would so stop the control loop; so texts queue here and go out only while that buffer is seen to be empty (the engine
 * reports how full it is, but versions differ in everything about that figure except that 0 means empty).
 */
import type { SerialLine } from '../board.ts'
import { CHECKS, checkOptions, mustBe, mustBeOpen, oneOf, printable } from './checks.ts'
import type { Engine, EngineSerial, PortName } from './engine.ts'

const HEARD_BYTES = 2048
/** Waiting to be sent. A text that does not fit whole is dropped whole, because half a frame is worth nothing. */
const QUEUE_BYTES = 4096
const SEND_MILLISECONDS = 20
/** Sent at once where the engine does not tell how much it takes (assumed: every engine's buffer holds 64). */
const LEAST_CHUNK = 60

export function openLine(options: { engine: Engine; port: PortName }): SerialLine {
  if (CHECKS) checkOptions('serial line', options, { port: oneOf(['USB', 'Serial1', 'Serial2', 'Bluetooth']) })
  const { engine, port } = options
  const serial = engine[port] as EngineSerial
  let heard = ''
  let queue = ''
  let timer = 0
  let closed = false

  /** Gives how much found room. */
  const keep = (data: string): number => {
    const kept = Math.min(HEARD_BYTES - heard.length, data.length)
    heard += data.substring(0, kept)
    line.lostBytes += data.length - kept
    return kept
  }
  const send = (): void => {
    timer = 0
    if (queue === '') return
    const sending = engine.process.memory(false).tx
    if (sending === undefined || sending.used === 0) {
      const chunk = sending === undefined ? LEAST_CHUNK : Math.max(LEAST_CHUNK, sending.total - 2)
      serial.write(queue.substring(0, chunk))
      queue = queue.substring(chunk)
    }
    // Once more than needed, so that the next text keeps the distance too.
    timer = engine.setTimeout(send, SEND_MILLISECONDS)
  }
  const giveBack = (): void => {
    if (CHECKS) mustBeOpen('serial line', closed)
    if (!line.taken) return
    line.taken = false
    serial.removeListener('data', keep)
    engine.E.setConsole(port, { force: true })
  }
  const line = {
    taken: false,
    lostBytes: 0,
    read: () => {
      if (CHECKS) mustBeOpen('serial line', closed)
      if (heard === '') return undefined
      const text = heard
      heard = ''
      return text
    },
    write: (text: string) => {
      if (CHECKS) mustBeOpen('serial line', closed)
      if (CHECKS) mustBe('serial line', printable(text, '\n\x1e'), text, 'printable ASCII, 0x0A, 0x1E')
      if (queue.length + text.length > QUEUE_BYTES) return
      queue += text
      if (timer === 0) send()
    },
    take: () => {
      if (CHECKS) mustBeOpen('serial line', closed)
      if (line.taken) return
      line.taken = true
      engine.E.setConsole(null, { force: true })
      serial.on('data', keep)
    },
    giveBack: giveBack,
    close: () => {
      if (closed) return
      giveBack()
      if (timer !== 0) engine.clearTimeout(timer)
      delete engine.hear
      closed = true
    },
  }
  engine.hear = text => {
    line.write('\x1e{"jsonrpc":"2.0","method":"heard","params":{"bytes":' + keep(text) + '}}\n')
  }
  return line
}
