/**
 * What the base has learned of its operator: how long from a cue to the press, how long to fill and to drain. Running
 * means with spread; one press after a tea break does not spoil them, because what lies far outside counts as no more
 * than a little outside. Nothing fails: seconds that are negative or no number are not learned.
 */
export interface Habit {
  meanSeconds: number
  sigmaSeconds: number
  /** Presses learned from, the prior counted as two. */
  weight: number
}

/** The most presses that count: people change. */
const MOST_WEIGHT = 12
const PRIOR_WEIGHT = 2
/** A press further out than this many sigma counts as just so far out. */
const REACH_SIGMA = 2.5
const LEAST_SIGMA_SECONDS = 0.2

export function createHabit(meanSeconds: number, sigmaSeconds: number): Habit {
  return { meanSeconds, sigmaSeconds, weight: PRIOR_WEIGHT }
}

/** Learns from one press. */
export function learnHabit(habit: Habit, seconds: number): void {
  if (!(seconds >= 0 && seconds < 1e6)) return
  const sigma = Math.max(habit.sigmaSeconds, LEAST_SIGMA_SECONDS)
  const reach = REACH_SIGMA * sigma
  let off = seconds - habit.meanSeconds
  if (off > reach) off = reach
  if (off < -reach) off = -reach
  const share = 1 / (habit.weight + 1)
  habit.meanSeconds += share * off
  habit.sigmaSeconds = Math.sqrt((1 - share) * (habit.sigmaSeconds * habit.sigmaSeconds + share * off * off))
  if (habit.weight < MOST_WEIGHT) habit.weight++
}
