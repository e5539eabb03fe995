/**
 * What calls the firmware's tick ten times a second, and what happens when that goes wrong: the motor's pins low, then
 * a restart. Never a turning motor without control.
 *
 * The engine can lose the interval without a word to the code in it: memory that runs out, too deep a recursion or an
 * interrupt from the laptop end the callback, skip `catch` and `finally`, and remove the interval. A second, slow
 * interval looks whether ticks still come; behind both stand the motor's own timer and the watchdog.
 */
import type { Engine } from './engine.ts'

const TICK_MILLISECONDS = 100
const LOOK_MILLISECONDS = 1000
/** Fewer free variables than this at a look is low memory: a tick with a reply in it takes a few hundred (assumed). */
export const LEAST_FREE_VARIABLES = 400
/** Errors of the engine after which its state is not to be trusted; the others mean lost characters, no more. */
const GRAVE = ['FIFO_FULL', 'CALLBACK', 'LOW_MEMORY', 'MEMORY']

/** What the heartbeat needs of the board. */
export interface Beating {
  readonly motor: { readonly driven: boolean; rest(): void }
  readonly line: { readonly taken: boolean }
}

export interface Heartbeat {
  /** Ends the ticks; the motor is let go. For a restart on purpose. */
  stop(): void
}

/** Starts the ticks. `beforeRestart` may note the reason; it is not relied on. */
export function startHeartbeat(
  engine: Engine,
  board: Beating,
  tick: () => void,
  beforeRestart: (reason: string) => void,
): Heartbeat {
  let beats = 0
  let beatsAtLook = 0
  let restarting = false

  const restart = (reason: string): void => {
    board.motor.rest()
    if (restarting) return
    restarting = true
    try {
      beforeRestart(reason)
    } catch (_) {}
    engine.E.reboot()
  }
  const look = (): void => {
    if (beats === beatsAtLook) restart('no ticks')
    else if (engine.process.memory(false).free < LEAST_FREE_VARIABLES) restart('low memory')
    beatsAtLook = beats
  }
  const onFlags = (flags: string[]): void => {
    // Read so that the next one is told of again.
    engine.E.getErrorFlags()
    for (let i = 0; i < flags.length; i++) if (GRAVE.indexOf(flags[i]) >= 0) restart(flags[i])
  }
  const onException = (problem: unknown): void => {
    // At rest it is a person's slip at the prompt.
    if (board.motor.driven || board.line.taken) restart('exception')
    else engine.print('Uncaught ' + problem)
  }

  engine.E.getErrorFlags()
  engine.E.on('errorFlag', onFlags)
  engine.process.on('uncaughtException', onException)
  const ticks = engine.setInterval(() => {
    tick()
    beats++
  }, TICK_MILLISECONDS)
  const looks = engine.setInterval(look, LOOK_MILLISECONDS)
  return {
    stop: () => {
      board.motor.rest()
      engine.clearInterval(ticks)
      engine.clearInterval(looks)
      engine.E.removeListener('errorFlag', onFlags)
      engine.process.removeListener('uncaughtException', onException)
    },
  }
}
