/** What the clock knows of the running bath, for the session, the panel and the record: written at the slow ticks. */
export interface ClockView {
  /** 0 at first contact, 1 when the bath has done what its recipe says; for `timed` and `atLeast` the fraction of the time. */
  progress: number
  /** Within this many percent of `progress` the truth lies, in at least 95 of 100 sessions. 0 for a bath by time. */
  boundPercent: number
  /** On the monotonic clock: when the pour-out cue is due, and when the bath will have acted if it is followed. NaN between baths. */
  cueAtSeconds: number
  endAtSeconds: number
  /** The pour-out cue is due now or was. */
  due: boolean
  /** Seconds since first contact; since the cue, negative before it. */
  elapsedSeconds: number
  overdueSeconds: number
  /** The bath is outside its sheet's rows now; and for how long it has been, in this bath. */
  outsideSheet: boolean
  /** By more than a pour's scatter: extrapolation begins to matter. */
  farOutsideSheet: boolean
  outsideSheetSeconds: number
  /** Against the recipe's `usableCelsius`. */
  usable: 'within' | 'tooCold' | 'tooWarm'
  meanCelsius: number
  lowCelsius: number
  highCelsius: number
  /** Followed by the model alone. */
  bridging: boolean
}
