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
import { wordOption } from '../options.ts'
import type { Engine, EngineSerial } from './engine.ts'
import { EspruinoPart, printable } from './part.ts'

const HEARD_BYTES = 2048
/** Waiting to be sent. A text that does not fit whole is dropped whole, because half a frame is worth nothing. */
const QUEUE_BYTES = 4096
const SEND_MILLISECONDS = 20
/** Sent at once where the engine does not tell how much it takes (assumed: every engine's buffer holds 64). */
const LEAST_CHUNK = 60

export class EspruinoLine extends EspruinoPart implements SerialLine {
  taken = false
  lostBytes = 0
  private readonly portName: string
  private readonly port: EngineSerial
  private heard = ''
  private queue = ''
  private timer = 0
  private readonly onData: (data: string) => void
  private readonly send: () => void

  constructor(options: { engine: Engine; port: string }) {
    super('serial line', options)
    this.portName = wordOption('serial line', options, 'port', ['USB', 'Serial1', 'Serial2', 'Bluetooth'])
    this.port = this.engine.serial(this.portName)
    this.onData = data => this.keep(data)
    this.send = () => this.sendSome()
    this.engine.global.hear = text => {
      this.keep(text)
      this.write('\x1e{"jsonrpc":"2.0","method":"heard","params":{"bytes":' + text.length + '}}\n')
    }
  }

  read(): string | undefined {
    this.mustBeOpen()
    if (this.heard === '') return undefined
    const text = this.heard
    this.heard = ''
    return text
  }

  write(text: string): void {
    this.mustBeOpen()
    if (!printable(text, '\n\x1e')) this.refuse(text, 'printable ASCII, 0x0A, 0x1E')
    if (this.queue.length + text.length > QUEUE_BYTES) return
    this.queue += text
    if (this.timer === 0) this.sendSome()
  }

  take(): void {
    this.mustBeOpen()
    if (this.taken) return
    this.taken = true
    this.engine.E.setConsole(null, { force: true })
    this.port.on('data', this.onData)
  }

  giveBack(): void {
    this.mustBeOpen()
    if (!this.taken) return
    this.taken = false
    this.port.removeListener('data', this.onData)
    this.engine.E.setConsole(this.portName, { force: true })
  }

  override close(): void {
    if (this.taken) this.giveBack()
    if (this.timer !== 0) this.engine.clearTimeout(this.timer)
    this.timer = 0
    delete this.engine.global.hear
    super.close()
  }

  private keep(data: string): void {
    const room = HEARD_BYTES - this.heard.length
    this.heard += data.substring(0, room)
    if (data.length > room) this.lostBytes += data.length - room
  }

  private sendSome(): void {
    this.timer = 0
    if (this.queue === '') return
    const sending = this.engine.process.memory(false).tx
    if (sending === undefined || sending.used === 0) {
      const chunk = sending === undefined ? LEAST_CHUNK : Math.max(LEAST_CHUNK, sending.total - 2)
      this.port.write(this.queue.substring(0, chunk))
      this.queue = this.queue.substring(chunk)
    }
    // Once more than needed, so that the next text keeps the distance too.
    this.timer = this.engine.setTimeout(this.send, SEND_MILLISECONDS)
  }
}
