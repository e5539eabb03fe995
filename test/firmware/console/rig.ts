/** A base on the simulated board with a laptop at its line: what console tests share. */
import { type Base, createBase, tick } from '../../../firmware/base.ts'
import type { ConsoleOptions } from '../../../firmware/console/console.ts'
import { defaultBase } from '../../../firmware/defaultBase.ts'
import { checkRecipe } from '../../../firmware/recipe/check.ts'
import { findRecipe } from '../../../firmware/recipe/shipped/shipped.ts'
import { defaultTank } from '../../../firmware/tank/defaultTank.ts'
import type { Board, ByteStore } from '../../../hal/board.ts'
import { openSimulatedBoard, SimulatedFiles } from '../../../sim/board.ts'
import { createPins, type Pins, pressButton, releaseButton, sendToLine } from '../../../sim/plant/pins.ts'

export const OPTIONS: ConsoleOptions = {
  identity: { version: '1.2.3', wiring: 'bench', serial: 'bench-1', kind: 'firmware', slot: 'eb.a', good: () => true },
  checkRecipe,
}

export interface Rig {
  pins: Pins
  board: Board
  base: Base
  ids: number
}

export interface Reply {
  jsonrpc: string
  id?: unknown
  method?: string
  params?: Record<string, unknown>
  result?: Record<string, unknown>
  error?: { code: number; message: string; data?: unknown }
}

const NOMINAL_COUNTS = 1800

/** A base at rest with a good pack; its files are kept by the caller where they outlive it. */
export function createRig(files?: SimulatedFiles, options: ConsoleOptions = OPTIONS, store?: ByteStore): Rig {
  const pins = createPins()
  pins.probeCounts = NOMINAL_COUNTS
  pins.roomCounts = NOMINAL_COUNTS
  pins.packVolts = 8.2
  pins.motorAmps = 0
  const board = openSimulatedBoard({
    pins,
    adcBits: defaultBase.adcBits,
    hasRoom: true,
    hasShaft: true,
    hasTank: false,
    files: files ?? new SimulatedFiles({ pins, bytes: 32_768 }),
    ...(store === undefined ? {} : { store }),
  })
  const base = createBase(board, defaultBase, defaultTank, findRecipe('colour-negative')!, {
    millilitres: 300,
    films: 1,
    filmsPerLitre: 0,
    operator: { reactionSeconds: 2.5, reactionSigmaSeconds: 1.5, known: false },
    lagKnown: false,
    console: options,
  })
  const rig = { pins, board, base, ids: 0 }
  wait(rig, 2)
  return rig
}

export function step(rig: Rig): void {
  rig.pins.seconds += 0.1
  // The disc turns as the motor is driven, so that no stall is seen: 35 edges a second at full speed.
  if (Math.abs(rig.pins.motorDuty) > 0.1) {
    rig.pins.shaftEdges += 2
    rig.pins.shaftEdgeSeconds = rig.pins.seconds - 0.02
    rig.pins.motorAmps = 0.2
  } else rig.pins.motorAmps = 0
  tick(rig.base)
}

export function wait(rig: Rig, seconds: number): void {
  for (let i = 0; i < Math.round(seconds * 10); i++) step(rig)
}

export function press(rig: Rig, which: 'advance' | 'hold'): void {
  pressButton(rig.pins, which)
  step(rig)
  releaseButton(rig.pins, which)
  wait(rig, 0.4)
}

/** Everything that was sent since the last look. */
export function received(rig: Rig): Reply[] {
  const text = rig.pins.lineOut
  rig.pins.lineOut = ''
  return text
    .split('\x1e')
    .slice(1)
    .map(part => JSON.parse(part.trim()) as Reply)
}

export function framed(request: unknown): string {
  return `\x1e${JSON.stringify(request)}\n`
}

/** Sends a text as it comes, as much in each tick as a port takes, and gives what came back. */
export function sendRaw(rig: Rig, text: string): Reply[] {
  for (let from = 0; from < text.length; from += 1000) {
    sendToLine(rig.pins, text.slice(from, from + 1000))
    step(rig)
  }
  step(rig)
  return received(rig)
}

/** Calls a method; the first reply to it. */
export function call(rig: Rig, method: string, params?: unknown): Reply {
  const id = ++rig.ids
  const replies = sendRaw(rig, framed({ jsonrpc: '2.0', id, method, ...(params === undefined ? {} : { params }) }))
  const reply = replies.find(one => one.id === id)
  if (reply === undefined) throw new Error(`no reply to ${method}: ${JSON.stringify(replies)}`)
  return reply
}

/** Into the first bath, full and closed: the tank turns. */
export function toTurning(rig: Rig): void {
  press(rig, 'advance')
  wait(rig, 10)
  press(rig, 'advance')
  wait(rig, 3)
}
