/** The bundles that the build makes: what each starts from, and for which board. */
export interface BundleRow {
  /** Name of the file in dist/, without its ending. */
  name: string
  /** Path from the project's top. */
  entry: string
  kind: 'guard' | 'firmware' | 'rehearsal'
  /** The wiring it is for; `any` for one that asks nothing of the pins. */
  wiring: string
  /** True of a build for a board with one slot: see `REDUCED`. */
  reduced?: boolean
  /** Left out of a board's slot: it prints its trace wherever it is run, and has no hardware. */
  engineTest?: boolean
}

export const BUNDLES: readonly BundleRow[] = [
  { name: 'rehearsal', entry: 'sim/rehearsal/entries/trace.ts', kind: 'rehearsal', wiring: 'any', engineTest: true },
]

/** The most bytes of a firmware text on the reference board. */
export const BUDGET_BYTES = 45_000

/** The constants that a bundle's sources may ask for, each as the text of an expression. */
export function definesOf(row: BundleRow, version: string): { [name: string]: string } {
  return {
    EVENBATH_VERSION: JSON.stringify(version),
    EVENBATH_WIRING: JSON.stringify(row.wiring),
    EVENBATH_KIND: JSON.stringify(row.kind),
    EVENBATH_REDUCED: String(row.reduced ?? false),
  }
}
