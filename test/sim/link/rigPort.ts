/** The firmware's own console at the other end of a pseudo-terminal, with a prompt's noise on it, and a line that can wear bytes off. */
import { framed } from '../../../sim/link/frames.ts'
import { sendToLine } from '../../../sim/plant/pins.ts'
import { createRandom, uniform } from '../../../sim/plant/random.ts'
import { type Rig, step } from '../../firmware/console/rig.ts'
import { openPair, type PortPair } from './portPair.ts'
import type { LineFaults } from './scriptedBoard.ts'

/** Ticks come five times as fast as on a board. */
const TICK_MILLISECONDS = 20
/** What a board's line sends in one piece. */
const PIECE_CHARACTERS = 254

export interface RigPort {
  path: string
  rig: Rig
  /** The cable is pulled after so many more bytes from the laptop. */
  pullAfterBytes: number
  close(): Promise<void>
}

export async function openRigPort(rig: Rig, faults?: LineFaults): Promise<RigPort> {
  const pair: PortPair = await openPair()
  const random = createRandom(faults?.seed ?? 1, 78)
  let typed = ''
  let heardBytes = 0

  const worn = (text: string): string => {
    if (faults === undefined) return text
    let out = ''
    for (const one of text) {
      if (uniform(random) < faults.dropped) continue
      out += uniform(random) < faults.garbled ? String.fromCharCode(1 + Math.floor(uniform(random) * 254)) : one
    }
    return out
  }
  const send = (text: string): void => pair.send(worn(text))
  /** What the engine does with a line at its prompt, as far as the console needs it. */
  const atPrompt = (line: string): void => {
    const heard = line.startsWith('\x10') ? /^hear\((".*")\)$/.exec(line.slice(1)) : null
    let text: string | undefined
    try {
      if (heard !== null) text = new Function(`return ${heard[1]}`)() as string
    } catch {
      text = undefined
    }
    if (typeof text !== 'string') {
      send('\r\x1b[JUncaught SyntaxError: Got [ERASED] expected EOF\r\n>')
      return
    }
    sendToLine(port.rig.pins, text)
    send(`${framed({ jsonrpc: '2.0', method: 'heard', params: { bytes: text.length } })}\r\x1b[J>`)
  }
  const port: RigPort = {
    path: pair.path,
    rig,
    pullAfterBytes: Infinity,
    async close() {
      clearInterval(ticking)
      await pair.pull()
    },
  }
  pair.onText = text => {
    heardBytes += text.length
    if (heardBytes >= port.pullAfterBytes) void pair.pull()
    const came = worn(text)
    if (port.rig.pins.lineTaken) return sendToLine(port.rig.pins, came)
    typed += came
    for (let end = typed.indexOf('\n'); end >= 0; end = typed.indexOf('\n')) {
      const line = typed.slice(0, end)
      typed = typed.slice(end + 1)
      atPrompt(line)
    }
  }
  const ticking = setInterval(() => {
    const { pins } = port.rig
    step(port.rig)
    // In pieces, as a board's line sends it, with the prompt redrawn in between.
    const sent = pins.lineOut
    pins.lineOut = ''
    for (let at = 0; at < sent.length; at += PIECE_CHARACTERS) {
      if (at > 0 && !pins.lineTaken) send('\r\x1b[J')
      send(sent.slice(at, at + PIECE_CHARACTERS))
    }
  }, TICK_MILLISECONDS)
  return port
}
