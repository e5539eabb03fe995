/**
 * What goes into a plan and what comes out: the shapes that the command line prints as JSON. Every number is a plain one;
 * what is not known is `null`.
 */
import type { SolutionKind } from '../../firmware/shelf/shelf.ts'

/** A solution that is already mixed. */
export interface PlannedSolution {
  /** Name of a bath of the recipe. */
  bath: string
  /** Days since it was mixed, and how much of it there is: 1000 mL when left out. */
  mixedDays?: number
  millilitres?: number
  /** Films that already went through it: the plan's `filmsThrough` when left out. */
  filmsThrough?: number
  /** Its bottle is kept full, not half empty: false when left out, the cautious side. */
  full?: boolean
  kind?: SolutionKind
}

export interface PlanOptions {
  /** Films in the tank this time: one on each reel in use when left out. */
  films?: number
  /** Reels in the tank: all that fit when left out. */
  reelsInUse?: number
  /** The room, the tank and the air between: 20 C when left out. */
  roomCelsius?: number
  /** 0 to 1: full when left out. */
  startCharge?: number
  /** Films already through one litre of the developed baths' solutions: 0 when left out. */
  filmsThrough?: number
  solutions?: PlannedSolution[]
}

/** How one bath is to be poured. Temperatures of the bottle; NaN never: `null` where the recipe names no range. */
export interface PlannedBath {
  name: string
  kind: string
  seconds: number
  /** What the chemistry of this bath needs at least. */
  leastMillilitres: number
  /** Of tank, reels and film when this bath comes. */
  tankCelsius: number
  pourCelsius: [number, number] | null
  aimPourCelsius: number
}

export interface PlannedShelf {
  bath: string
  /** `null` where the sheet states no end, or the age is not known. */
  filmsLeft: number | null
  daysLeft: number | null
  source: string
}

export interface Plan {
  recipe: string
  title: string
  films: number
  roomCelsius: number
  leastMillilitres: number
  leastBecause: 'film' | 'chemistry'
  /** The bath whose chemistry asks for it; `null` when it is the film. */
  leastBath: string | null
  advisedMillilitres: number
  /** What the tank holds lying, up to the middle of its lid. */
  mostLyingMillilitres: number
  standingMillilitres: number
  /** 1 - advised / standing, never below 0; and the same with the least volume. */
  savedFraction: number
  savedAtLeastFraction: number
  /** Part of each turn that the innermost turn of film is in the advised volume. */
  innermostImmersedFraction: number
  /** From setting up to the end of the last drain, handling between baths counted in. */
  seconds: number
  /** Fractions of the full pack: what the session takes, and what is left after it. */
  chargeNeeded: number
  chargeLeft: number
  /** Sessions like this one that the pack gives after this one; and from full to empty. */
  sessionsLeft: number
  sessionsPerCharge: number
  neededJoules: number
  /** What the session writes into the journal, and how many years the flash lasts at one session a day. */
  recordBytes: number
  recordYears: number
  /** What to pour for the first developed bath, [low, high] at the bottle, as the tank is when it comes; and where to aim. */
  pourCelsius: [number, number]
  aimPourCelsius: number
  baths: PlannedBath[]
  shelf: PlannedShelf[]
  cautions: string[]
}
