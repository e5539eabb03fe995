/** Carries out the faults from the driver to the tank. */
import { loadMotor } from '../../plant/motor.ts'
import { setTankFault, type TankFault } from '../../plant/rollers.ts'
import type { EdgeCounter } from '../../plant/rotationSensing.ts'
import type { Acting, Injector } from '../injector.ts'
import type { driveFaults } from '../tables/drive.ts'

type Which = 'shaftCounter' | 'tankCounter'

function dead(which: Which): Injector {
  return {
    begin({ rig }) {
      rig.plant[which].dead = true
    },
    end({ rig }) {
      rig.plant[which].dead = false
    },
  }
}

/** Edges count twice: what came in a step is added once more, so that the count never goes back. */
function doubled(which: Which): Injector {
  const show = (acting: Acting, counter: EdgeCounter): void => {
    if (which === 'shaftCounter') acting.rig.plant.pins.shaftEdges = counter.edges
    else acting.rig.plant.pins.tankEdges = counter.edges
  }
  return {
    begin(acting) {
      acting.kept = acting.rig.plant[which].edges
    },
    each(acting) {
      const counter = acting.rig.plant[which]
      const came = counter.edges - acting.kept
      if (came > 0) {
        counter.edges += came
        show(acting, counter)
      }
      acting.kept = counter.edges
    },
    end() {},
  }
}

function ofTank(fault: TankFault): Injector {
  return {
    begin({ rig }) {
      setTankFault(rig.plant.rollers, rig.plant.motor, fault)
    },
    each({ rig }) {
      if (rig.plant.rollers.fault === 'none') setTankFault(rig.plant.rollers, rig.plant.motor, fault)
    },
    end({ rig }) {
      setTankFault(rig.plant.rollers, rig.plant.motor, 'none')
    },
  }
}

/** A weak motor keeps at least this share of its pull. */
const LEAST_PULL = 0.05

export const driveInjectors: { [name in keyof typeof driveFaults]: Injector } = {
  discDead: dead('shaftCounter'),
  magnetsDead: dead('tankCounter'),
  discDoubled: doubled('shaftCounter'),
  magnetsDoubled: doubled('tankCounter'),
  sensorsReversed: {
    begin() {},
    each({ rig }) {
      const { pins, shaftCounter, tankCounter } = rig.plant
      pins.shaftEdges = tankCounter.edges
      pins.shaftEdgeSeconds = tankCounter.edgeSeconds
      pins.tankEdges = shaftCounter.edges
      pins.tankEdgeSeconds = shaftCounter.edgeSeconds
    },
    end() {},
  },
  tankSlipping: {
    begin({ rig, strength }) {
      rig.plant.rollers.extraSlip += strength
    },
    end({ rig, strength }) {
      rig.plant.rollers.extraSlip -= strength
    },
  },
  tankWalkedOff: ofTank('walkedOff'),
  tankJammed: ofTank('jammed'),
  motorStalled: {
    begin({ rig, strength }) {
      rig.plant.motor.jamNewtonMetres += strength
      loadMotor(rig.plant.motor, rig.plant.motor.load)
    },
    end({ rig, strength }) {
      rig.plant.motor.jamNewtonMetres -= strength
      loadMotor(rig.plant.motor, rig.plant.motor.load)
    },
  },
  motorWeak: {
    begin(acting) {
      const { motor } = acting.rig.plant
      acting.kept = motor.weakFraction
      motor.weakFraction = Math.min(1 - LEAST_PULL, Math.max(motor.weakFraction, acting.strength))
      loadMotor(motor, motor.load)
    },
    end(acting) {
      const { motor } = acting.rig.plant
      motor.weakFraction = 0
      loadMotor(motor, motor.load)
    },
  },
  motorBackwards: {
    begin({ rig }) {
      rig.plant.driverFault = duty => -duty
    },
    each({ rig }) {
      rig.plant.driverFault ??= duty => -duty
    },
    // Nobody changes the wires of a motor that is driven.
    end({ rig }) {
      rig.plant.driverFault = duty => {
        if (duty === 0) rig.plant.driverFault = undefined
        return -duty
      }
    },
  },
  driverStuckOn: {
    begin({ rig, strength }) {
      rig.plant.driverFault = () => strength
    },
    end({ rig }) {
      rig.plant.driverFault = undefined
    },
  },
}
