/**
 * Promises of the bath: progress within its bound, a cue for every bath, at the right moment, on the screen and by the
 * sounder until somebody pours out.
 *
 * The bound holds in 95 of 100 baths by its definition, and the campaign counts how many end beyond it; of each single one
 * it asks one and a half times the bound and a little more, which ten thousand sessions in order keep. What the base cannot know excuses it: a press that does not belong to its act.
 */
import type { Base } from '../../../firmware/base.ts'
import { TUNES } from '../../../firmware/panel/tunes.ts'
import { secondsAt } from '../../../firmware/recipe/rate.ts'
import type { Bath } from '../../../firmware/recipe/recipe.ts'
import { timedSeconds } from '../../../firmware/recipe/reuse.ts'
import type { BathTruthRecord } from '../../plant/plant.ts'
import { isExcused } from '../play.ts'
import { broke, type Check, judge, type Watch } from './watch.ts'

/** Times the stated bound, and beside it, in percent. */
const BOUND_FACTOR = 1.5
const BESIDE_PERCENT = 1.5
/** The first part of a bath is too short to compare. */
const FROM_PROGRESS = 0.3
/** A press further from its act than this says something that is not so. */
const MISTOLD_SECONDS = 1
/** No cue by then is none. */
const LATE_PROGRESS = 1.3
const LATE_SECONDS = 30
/** A base that starts in a bath has looked at it by then. */
const STARTED_SECONDS = 3
/** While a person is asked how long it was dark no call rests on a guess: for a minute, then it comes. */
const ASKED_SECONDS = 63
/** The cue may be so far from where the truth would have it, beside the bound. */
const CUE_SECONDS = 4
const CUE_SECONDS_TIMED = 3
/** Alarms that say that the time is uncertain, or that nobody answers. */
const UNCERTAIN = [10, 11, 12, 13, 14, 15]
/** A screen is drawn once a second; the call comes back every 4 s, taking turns with an alarm. */
const SHOWN_WITHIN_SECONDS = 2.5
const SOUNDED_WITHIN_SECONDS = 12

export function createBathCheck(): Check {
  let bathIndex = -1
  let contactSeconds = NaN
  let mistold = true
  let uncertain = false
  let cueCame = false
  let wasDark = false
  let lastSeconds = NaN
  let darkSeconds = 0
  let dueSeconds = NaN
  let pourOutSeconds = -Infinity
  let calledSeconds = -Infinity

  function truthOf(watch: Watch): BathTruthRecord | undefined {
    const { records } = watch.rig.plant
    return records[records.length - 1]
  }

  /** A bath began, for the base. */
  function beginBath(watch: Watch, base: Base): void {
    bathIndex = base.session.bathIndex
    contactSeconds = base.session.contactSeconds + watch.rig.zeroSeconds
    mistold = false
    uncertain = false
    cueCame = false
    wasDark = false
    darkSeconds = 0
  }

  function isMistold(watch: Watch, base: Base): boolean {
    const truth = truthOf(watch)
    const { bath } = watch.rig.plant
    const { underway } = base.session
    if (truth === undefined) return true
    if (Math.abs(truth.contactSeconds - contactSeconds) > MISTOLD_SECONDS) return true
    if (watch.rig.plant.bathIndex !== underway.bathIndex) return true
    if (underway.contents === bath.phase) return false
    // The base may not know for a moment that the tank is closed, or drains; not for long. After the dark it does not
    // know since when its contents are there.
    const off = wasDark ? Infinity : watch.nowSeconds - watch.rig.zeroSeconds - underway.sinceSeconds
    return Math.min(off, bath.phaseSeconds) > MISTOLD_SECONDS
  }

  function checkProgress(watch: Watch, base: Base, spec: Bath): void {
    const { view } = base.clock
    if (spec.kind !== 'developed' || mistold || uncertain) return
    const truth = watch.rig.plant.bath.trueProgress
    if (!(truth > FROM_PROGRESS) || base.session.underway.contents === 'empty') return
    judge(watch, 'progressKnown')
    const error = Math.abs(truth / view.progress - 1) * 100
    const allowed = BOUND_FACTOR * view.boundPercent + BESIDE_PERCENT
    if (!(error <= allowed)) {
      const said = `believed ${view.progress.toFixed(3)} +- ${view.boundPercent.toFixed(1)} %`
      broke(watch, 'progressKnown', `${said}, really ${truth.toFixed(3)}`)
    }
  }

  /** At the end of a developed bath: one of many, of which 95 in 100 are to be within what the base stated. */
  function countBound(watch: Watch, base: Base): void {
    const { view } = base.clock
    const spec = base.session.recipe.baths[bathIndex]
    if (spec?.kind !== 'developed' || mistold || isExcused(watch.play, 'progressKnown', watch.nowSeconds)) return
    const truth = watch.rig.plant.bath.trueProgress
    if (!(truth > FROM_PROGRESS)) return
    const isBeyond = !(Math.abs(truth / view.progress - 1) * 100 <= view.boundPercent) ? 1 : 0
    const { bounds } = watch
    if (uncertain || wasDark) {
      bounds.uncertainBaths++
      bounds.uncertainBeyond += isBeyond
    } else {
      bounds.baths++
      bounds.beyond += isBeyond
    }
    if (isBeyond === 1) {
      const said = `believed ${view.progress.toFixed(3)} +- ${view.boundPercent.toFixed(1)} %`
      watch.log(`beyond its bound: ${said}, really ${truth.toFixed(3)}`)
    }
  }

  function checkCueComes(watch: Watch, base: Base, spec: Bath): void {
    const { contents } = base.session.underway
    if (cueCame || mistold || contents === 'draining' || contents === 'empty') return
    const truth = truthOf(watch) as BathTruthRecord
    const { trueProgress } = watch.rig.plant.bath
    const seconds = spec.kind === 'developed' ? Infinity : timedSeconds(spec, base.session.filmsPerLitre)
    const sinceStart = watch.nowSeconds - watch.rig.startedSeconds
    if (sinceStart < (base.session.darkAt >= 0 ? ASKED_SECONDS : STARTED_SECONDS)) return
    judge(watch, 'cueComes')
    // How long it was dark is not known: a bath by time then lasts longer, and alarm 50 has said so.
    const mostSeconds = seconds + LATE_SECONDS + 2 * darkSeconds
    const sure = !uncertain && !isExcused(watch.play, 'progressKnown', watch.nowSeconds)
    const mostProgress = LATE_PROGRESS * (1 + base.clock.view.boundPercent / 100) * (sure ? 1 : 2)
    if (watch.nowSeconds - truth.contactSeconds > mostSeconds || trueProgress > mostProgress) {
      broke(watch, 'cueComes', `no cue for ${spec.name}, at a progress of ${trueProgress.toFixed(2)}`)
    }
  }

  /** At the cue: where the truth will be when this operator has poured out as the base has learned. */
  function checkCueMoment(watch: Watch, base: Base, spec: Bath): void {
    if (mistold || uncertain || wasDark) return
    judge(watch, 'cueInTime')
    const { clock } = base
    const { plant } = watch.rig
    const leadSeconds = clock.drain.meanSeconds + clock.reaction.meanSeconds
    if (spec.kind === 'developed') {
      const rate = plant.rates[bathIndex]
      if (rate === undefined) return
      const perSecond = 1 / secondsAt(rate, plant.bath.bathCelsius)
      const end = plant.bath.trueProgress + leadSeconds * perSecond
      const allowed = (BOUND_FACTOR * clock.view.boundPercent + BESIDE_PERCENT) / 100 + CUE_SECONDS * perSecond
      // A bath that is full only after its time is called out when it can be.
      if (end < 1 - allowed || (end > 1 + allowed && base.session.state !== 'fillingDue')) {
        broke(
          watch,
          'cueInTime',
          `${spec.name} would end at ${end.toFixed(3)}, allowed is ${allowed.toFixed(3)} beside 1`,
        )
      }
      return
    }
    const truth = truthOf(watch) as BathTruthRecord
    const countsFrom =
      spec.startsWhen === 'full' ? base.session.underway.sinceSeconds + watch.rig.zeroSeconds : truth.contactSeconds
    const endSeconds = countsFrom + timedSeconds(spec, base.session.filmsPerLitre)
    const early = endSeconds - leadSeconds - watch.nowSeconds
    const mostLate = spec.kind === 'atLeast' ? leadSeconds + CUE_SECONDS_TIMED : CUE_SECONDS_TIMED
    if (early > CUE_SECONDS_TIMED || (-early > mostLate && base.session.state !== 'fillingDue')) {
      broke(watch, 'cueInTime', `${spec.name}: the cue came ${early.toFixed(1)} s before its moment`)
    }
  }

  function checkCalled(watch: Watch, base: Base): void {
    const { state } = base.session
    const { panels } = watch.rig
    const isDue = state === 'due' || state === 'fillingDue' || state === 'heldDue' || state === 'stoppedDue'
    if (panels.tones === TUNES.pourOut) pourOutSeconds = Math.max(pourOutSeconds, panels.tonesSeconds)
    if (!isDue) {
      dueSeconds = NaN
      return
    }
    if (isNaN(dueSeconds)) {
      dueSeconds = watch.nowSeconds
      calledSeconds = watch.nowSeconds
    }
    judge(watch, 'cueShown')
    judge(watch, 'cueSounded')
    if (panels.texts[0] === 'POUR OUT' && !panels.screenGone) calledSeconds = watch.nowSeconds
    if (watch.nowSeconds - calledSeconds > SHOWN_WITHIN_SECONDS) {
      broke(watch, 'cueShown', `the screen shows "${panels.texts[0]}" when ${state}`)
    }
    if (watch.nowSeconds - Math.max(dueSeconds, pourOutSeconds) > SOUNDED_WITHIN_SECONDS) {
      broke(watch, 'cueSounded', `no call to pour out for ${SOUNDED_WITHIN_SECONDS} s when ${state}`)
    }
  }

  return {
    tick(watch, base) {
      const { session } = base
      lastSeconds = watch.nowSeconds
      for (let i = 0; i < session.eventCount; i++) {
        const event = session.events[i]
        if (event.kind === 'bathBegun') beginBath(watch, base)
        else if (event.kind === 'bathEnded' && bathIndex >= 0 && event.bathIndex === bathIndex) countBound(watch, base)
        else if (event.kind === 'alarmRaised' && UNCERTAIN.includes(event.number)) uncertain = true
        else if (event.kind === 'cueGiven' && bathIndex >= 0) {
          mistold ||= isMistold(watch, base)
          checkCueMoment(watch, base, session.recipe.baths[bathIndex] as Bath)
          cueCame = true
        }
      }
      checkCalled(watch, base)
      if (session.underway.contents === 'empty' || bathIndex < 0) return
      if (!mistold && isMistold(watch, base)) mistold = true
      const spec = session.recipe.baths[bathIndex] as Bath
      if (base.estimates.slow) checkProgress(watch, base, spec)
      checkCueComes(watch, base, spec)
    },
    restarted(watch) {
      wasDark = true
      darkSeconds += watch.nowSeconds - lastSeconds
      dueSeconds = NaN
    },
  }
}
