/** How short a developer's time may be in a rotating tank before its evenness is in doubt, by those who published it. */

/**
 * Below this, development in a rotating drum is judged uneven: 3 min, MACO/ROLLEI RETRO 400S, 2021. Others ask for
 * more: 4 min in rotary tubes (KODAK J-109, Tables 2 and 6), 5 min (F-4016, F-4043); see `shortTimeRemark`.
 */
export const SHORTEST_DEVELOPED_SECONDS = 180
/** KODAK J-109, Tables 2 and 6: shorter times in a rotary tube may be uneven. */
export const CAUTIOUS_DEVELOPED_SECONDS = 240

/** What to say of a developer's time in a rotating tank, or an empty text when it is long enough. */
export function shortTimeRemark(seconds: number): string {
  if (seconds < SHORTEST_DEVELOPED_SECONDS) return 'shorter than any maker calls even when rotating (3 min)'
  return seconds < CAUTIOUS_DEVELOPED_SECONDS ? 'some makers ask for 4 min or more when rotating' : ''
}
