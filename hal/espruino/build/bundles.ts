/** The bundles that the build makes: what each starts from, for which board, and what the reduced ones leave out. */
import { guardFacts } from '../guard/wired.ts'
import { esp32 } from '../wiring/esp32.ts'
import { pico } from '../wiring/pico.ts'
import { stm32f4 } from '../wiring/stm32f4.ts'
import type { Wiring } from '../wiring/wiring.ts'

export interface BundleRow {
  /** Name of the file in dist/, without its ending. */
  name: string
  /** Path from the project's top. */
  entry: string
  kind: 'guard' | 'firmware' | 'rehearsal'
  /** The board it is for; undefined for one that asks nothing of the pins. */
  wiring: Wiring | undefined
}

const WIRINGS: readonly Wiring[] = [pico, stm32f4, esp32]

export const BUNDLES: readonly BundleRow[] = [
  ...WIRINGS.map(guardOf),
  ...WIRINGS.map(firmwareOf),
  ...WIRINGS.map(rehearsalOf),
  // Prints its trace on whatever engine runs it; has no hardware.
  { name: 'rehearsal', entry: 'sim/rehearsal/entries/trace.ts', kind: 'rehearsal', wiring: undefined },
]

function guardOf(wiring: Wiring): BundleRow {
  return { name: `guard-${wiring.name}`, entry: 'hal/espruino/guard/guard.ts', kind: 'guard', wiring }
}

function firmwareOf(wiring: Wiring): BundleRow {
  return { name: wiring.name, entry: `hal/espruino/entries/${wiring.name}.ts`, kind: 'firmware', wiring }
}

function rehearsalOf(wiring: Wiring): BundleRow {
  const entry = `sim/rehearsal/entries/${wiring.name}.ts`
  return { name: `rehearsal-${wiring.name}`, entry, kind: 'rehearsal', wiring }
}

/** The most bytes of a firmware text on the reference board. */
export const BUDGET_BYTES = 45_000

const RECIPE_CHECK = 'checking a recipe sent over the serial line'

/** Two firmwares, guard and journal have to fit the store of a Pico; an STM32F4's is smaller still. The laptop checks. */
const NO_ROOM_FOR_CHECKER: readonly Wiring[] = [pico, stm32f4]

/**
 * What a row's bundle leaves out, in words: for want of room; in a rehearsal, which has to fit beside the firmware and of
 * which nothing is kept.
 */
export function leftOut(row: BundleRow): readonly string[] {
  if (row.kind === 'rehearsal') return [RECIPE_CHECK, 'the journal']
  const isSmall = row.wiring !== undefined && NO_ROOM_FOR_CHECKER.includes(row.wiring)
  return row.kind === 'firmware' && isSmall ? [RECIPE_CHECK] : []
}

/** The constants that a bundle's sources may ask for, each as the text of an expression. */
export function definesOf(row: BundleRow, version: string): { [name: string]: string } {
  const defines: { [name: string]: string } = {
    EVENBATH_VERSION: JSON.stringify(version),
    EVENBATH_WIRING: JSON.stringify(wiringName(row)),
    EVENBATH_KIND: JSON.stringify(row.kind),
    EVENBATH_REDUCED: String(leftOut(row).length > 0),
    // By the build: the board's parts need not look again.
    WIRING_CHECKED: 'true',
  }
  if (row.wiring !== undefined) defines['EVENBATH_GUARD'] = guardFacts(row.wiring)
  return defines
}

/** The wiring as the first line and the manifest name it. */
export function wiringName(row: BundleRow): string {
  return row.wiring?.name ?? 'any'
}
