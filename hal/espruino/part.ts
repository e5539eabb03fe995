/**
 * What every part of this board is made with, and the one way it ends: the engine, a name for its errors, and a flag
 * that says it was closed.
 */
import { closedError, objectOption, optionsObject } from '../options.ts'
import type { Engine } from './engine.ts'

export class EspruinoPart {
  protected readonly engine: Engine
  protected readonly name: string
  private shut = false

  constructor(name: string, options: { engine: Engine }) {
    this.name = name
    this.engine = objectOption<Engine>(name, optionsObject(name, options), 'engine')
  }

  protected mustBeOpen(): void {
    if (this.shut) throw closedError(this.name)
  }

  protected refuse(found: unknown, allowed: string): never {
    const message = this.name + ': cannot write ' + found + ' (allowed: ' + allowed + ')'
    throw typeof found === 'number' && !isNaN(found) ? new RangeError(message) : new TypeError(message)
  }

  close(): void {
    this.shut = true
  }
}

/** The option `name` as a pin's name. */
export function pinOption(part: string, options: object, name: string): string {
  const value = (options as { [key: string]: unknown })[name]
  const message = part + ': option ' + name + ' is ' + value + ' (allowed: a pin as D5)'
  if (typeof value !== 'string') throw new TypeError(message)
  if (!/^[A-Z]+[0-9]+$/.test(value)) throw new RangeError(message)
  return value
}

/** Whether a text is printable ASCII throughout; `extra` lists control characters that are allowed too. */
export function printable(text: unknown, extra: string): boolean {
  if (typeof text !== 'string') return false
  for (let i = 0; i < text.length; i++) {
    const code = text.charCodeAt(i)
    if ((code < 32 || code > 126) && extra.indexOf(text.charAt(i)) < 0) return false
  }
  return true
}
