/** What carries a fault out: the shape, and what it acts on. Types only. */
import type { Person } from './person.ts'
import type { Rig } from './rig.ts'

/** A fault that is there now. */
export interface Acting {
  rig: Rig
  person: Person
  strength: number
  /** Memory of the injector: what was there before, what it counted. */
  kept: number
}

export interface Injector {
  begin(acting: Acting): void
  /** After every step of the plant, while it lasts. */
  each?(acting: Acting): void
  /** Everything as it was. Not called for what lasts no time. */
  end?(acting: Acting): void
}
