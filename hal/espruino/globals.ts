/**
 * The one place that picks up the engine's globals: its global object, which has them all as properties, built-in
 * functions too. Nothing is checked here: a name that an engine lacks is found missing only when it is used.
 */
import type { Engine, EngineE, EngineProcess } from './engine.ts'

declare const global: { -readonly [name in keyof Engine]: Engine[name] }
declare const E: EngineE
declare const process: EngineProcess

/** The engine that this code runs on. */
export function engineOfGlobals(): Engine {
  // Asked for through the global object these two are made anew each time, and what listens to them is lost.
  global.E = E
  global.process = process
  return global
}
