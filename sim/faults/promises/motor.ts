/** Promises of the motor: rest between two directions, limits, off where it must be, driven where it should be. */
import type { Base } from '../../../firmware/base.ts'
import { WANTS } from '../../../firmware/session/table.ts'
import { broke, type Check, judge, type Watch } from './watch.ts'

/** Slower than this a tank stands, as far as a reversal goes (rpm of the tank). */
const STANDING_RPM = 5
/** The speed loop overshoots; without a sensor the drive is only known so well. */
const MOST_FACTOR = 1.15
const MOST_FACTOR_UNSEEN = 1.5
const FAST_SECONDS = 3
/** Driven and not turning: a try lasts about a second; whoever cannot see it is not held to it. */
const STALLED_SECONDS = 3
const STALLED_RPM = 0.5
const LEAST_LIMIT_DUTY = 0.25
const HARM_FACTOR = 1.1
/** Braking takes a ramp; then the motor is off on hold. */
const HOLD_SECONDS = 6
/** So many ticks, and so long, until a pack that cannot be read is not driven on. */
const UNSAFE_TICKS = 45
const UNSAFE_SECONDS = 4.5
/** The longest rest between two legs, and between two tries of a stalled motor. */
const REST_SECONDS = 8
const RARELY_SECONDS = 26
/** So long after the last fault of the drive the rests are those of the recipe. */
const CALM_SECONDS = 90
const SAME_SECONDS = 0.051

export function createMotorCheck(): Check {
  let direction = 0
  let zeroSinceSeconds = -Infinity
  let fastSeconds = 0
  let stalledSeconds = 0
  let heldSinceSeconds = NaN
  let unsafeTicks = 0
  let unsafeSinceSeconds = NaN
  let drivenSeconds = NaN
  let pressedSinceStart = true

  function checkReversal(watch: Watch, base: Base, duty: number): void {
    const sign = duty > 0 ? 1 : duty < 0 ? -1 : 0
    if (sign === 0) {
      if (direction !== 0 && zeroSinceSeconds === -Infinity) zeroSinceSeconds = watch.nowSeconds
      return
    }
    if (direction !== 0 && sign !== direction) {
      judge(watch, 'restBetweenDirections')
      const restSeconds = watch.nowSeconds - zeroSinceSeconds
      const least = base.file.drive.restSecondsAtLeast - SAME_SECONDS
      if (!(zeroSinceSeconds > -Infinity && restSeconds >= least)) {
        broke(watch, 'restBetweenDirections', `driven the other way round after ${restSeconds.toFixed(2)} s`)
      }
      const { motor, rollers } = watch.rig.plant
      const driven = watch.rig.plant.driverFault === undefined ? sign : Math.sign(watch.rig.plant.driverFault(sign))
      const rpm = (motor.radiansPerSecond * 60) / (2 * Math.PI) / rollers.shaftTurnsPerTankTurn
      if (rpm * driven < -STANDING_RPM) {
        broke(watch, 'restBetweenDirections', `driven the other way round at ${Math.abs(rpm).toFixed(1)} rpm`)
      }
    }
    direction = sign
    zeroSinceSeconds = -Infinity
  }

  function checkLimits(watch: Watch, base: Base, duty: number): void {
    if (duty !== 0) judge(watch, 'withinLimits')
    if (!(duty >= -1 && duty <= 1)) broke(watch, 'withinLimits', `a duty of ${duty}`)
    const { motor, rollers } = watch.rig.plant
    const rpm = Math.abs((motor.radiansPerSecond * 60) / (2 * Math.PI) / rollers.shaftTurnsPerTankTurn)
    const tankRpm = Math.abs(rollers.tankRpm)
    const hasDisc = base.file.rotation.edgesPerShaftTurn > 0
    const seen = hasDisc || base.file.rotation.magnetsOnTank > 0
    const most = base.file.drive.mostRpm * (seen ? MOST_FACTOR : MOST_FACTOR_UNSEEN)
    fastSeconds = tankRpm > most ? fastSeconds + watch.tickSeconds : 0
    if (fastSeconds > FAST_SECONDS) broke(watch, 'withinLimits', `the tank runs at ${tankRpm.toFixed(0)} rpm`)
    // A disc that has been dead is believed again with its next edge, which a motor that is held does not give.
    const canSee = base.file.pack.currentSense || (hasDisc && watch.play.marks.discDead === undefined)
    // A held motor draws in proportion to its duty; one that draws less than the limit comes to no harm.
    const least = Math.max(Math.abs(duty), LEAST_LIMIT_DUTY) * base.file.limits.motorAmps * HARM_FACTOR
    const isHeld = duty !== 0 && rpm < STALLED_RPM && Math.abs(motor.windingAmps) > least
    stalledSeconds = canSee && isHeld ? stalledSeconds + watch.tickSeconds : 0
    if (stalledSeconds > STALLED_SECONDS) {
      const seen = `driven at ${duty.toFixed(2)}, ${Math.abs(motor.windingAmps).toFixed(1)} A`
      broke(watch, 'withinLimits', `${seen}, for ${stalledSeconds.toFixed(1)} s without turning`)
    }
  }

  function checkOff(watch: Watch, base: Base, duty: number): void {
    const { state } = base.session
    const test = base.turnTest.stage === 'running'
    const wants = Object.hasOwn(WANTS, state) ? WANTS[state] : 'off'
    if (wants === 'off' && !test && duty !== 0)
      broke(watch, 'offInSafeState', `a duty of ${duty.toFixed(2)} when ${state}`)
    if (wants !== 'rest') heldSinceSeconds = NaN
    else if (isNaN(heldSinceSeconds)) heldSinceSeconds = watch.nowSeconds
    else if (watch.nowSeconds - heldSinceSeconds > HOLD_SECONDS && duty !== 0) {
      broke(watch, 'offInSafeState', `a duty of ${duty.toFixed(2)} on hold`)
    }
    if (watch.pressSeconds >= watch.rig.startedSeconds) pressedSinceStart = true
    if (!pressedSinceStart) judge(watch, 'restAfterReset')
    if (!pressedSinceStart && duty !== 0)
      broke(watch, 'restAfterReset', `a duty of ${duty.toFixed(2)} before any press`)
  }

  function checkUnsafe(watch: Watch, base: Base, duty: number): void {
    const volts = watch.rig.plant.pins.packVolts
    const { cells } = base.file.pack
    if (volts > 1.5 * cells && volts < 4.45 * cells) {
      unsafeSinceSeconds = NaN
      unsafeTicks = 0
      return
    }
    if (isNaN(unsafeSinceSeconds)) unsafeSinceSeconds = watch.nowSeconds
    if (watch.tickSeconds > 0) unsafeTicks++
    if (unsafeTicks <= UNSAFE_TICKS || watch.nowSeconds - unsafeSinceSeconds <= UNSAFE_SECONDS) return
    judge(watch, 'offWhenUnsafe')
    if (duty !== 0) broke(watch, 'offWhenUnsafe', `a duty of ${duty.toFixed(2)} on a pack that reads ${volts} V`)
  }

  function checkDriven(watch: Watch, base: Base, duty: number): void {
    if (base.session.want !== 'turn' || duty !== 0 || isNaN(drivenSeconds)) {
      drivenSeconds = watch.nowSeconds
      return
    }
    judge(watch, 'turnsOn')
    const still = watch.nowSeconds - drivenSeconds
    const calm = watch.nowSeconds - watch.play.driveTroubleSeconds > CALM_SECONDS
    if (still > (calm ? REST_SECONDS : RARELY_SECONDS)) {
      broke(watch, 'turnsOn', `not driven for ${still.toFixed(0)} s in the state ${base.session.state}`)
    }
  }

  return {
    tick(watch, base) {
      const duty = watch.rig.plant.pins.motorDuty
      checkReversal(watch, base, duty)
      checkLimits(watch, base, duty)
      checkOff(watch, base, duty)
      checkUnsafe(watch, base, duty)
      checkDriven(watch, base, duty)
    },
    restarted() {
      pressedSinceStart = false
      drivenSeconds = NaN
      heldSinceSeconds = NaN
    },
  }
}
