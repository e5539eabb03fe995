/** Carries out the faults of the buttons and of the operator: what the person does with them is in `person.ts`. */
import { pourMore } from '../../plant/bath.ts'
import { pressButton } from '../../plant/pins.ts'
import { loadRollers } from '../../plant/rollers.ts'
import type { Injector } from '../injector.ts'
import { type Person, press } from '../person.ts'
import type { handFaults } from '../tables/hands.ts'

type Which = 'advance' | 'hold'

function bouncing(which: Which): Injector {
  return {
    begin({ person, strength }) {
      person.buttons[which].bounces = Math.round(strength)
    },
    end({ person }) {
      person.buttons[which].bounces = 0
    },
  }
}

function jammed(which: Which): Injector {
  return {
    begin({ rig, person }) {
      const { pins } = rig.plant
      if (!pins[which].down) pressButton(pins, which)
      person.buttons[which].jammed++
    },
    end({ rig, person }) {
      person.buttons[which].jammed--
      person.buttons[which].releaseSeconds = rig.plant.pins.seconds
    },
  }
}

function dead(which: Which): Injector {
  return {
    begin({ person }) {
      person.buttons[which].dead++
    },
    end({ person }) {
      person.buttons[which].dead--
    },
  }
}

/** Sets one of the person's habits, and back to what a sound person has. */
function habit(set: (person: Person, strength: number) => void, back: (person: Person) => void): Injector {
  return {
    begin({ person, strength }) {
      set(person, strength)
    },
    end({ person }) {
      back(person)
    },
  }
}

/** A second bottle is a few degrees off the first. */
const SECOND_BOTTLE_CELSIUS = 3

export const handInjectors: { [name in keyof typeof handFaults]: Injector } = {
  advanceBouncing: bouncing('advance'),
  holdBouncing: bouncing('hold'),
  advanceJammed: jammed('advance'),
  holdJammed: jammed('hold'),
  advanceDead: dead('advance'),
  holdDead: dead('hold'),
  advancePressed: {
    begin({ rig, person }) {
      press(rig, person, 'advance')
    },
  },
  holdPressed: {
    begin({ rig, person, strength }) {
      press(rig, person, 'hold')
      person.holdAgainSeconds = rig.plant.pins.seconds + strength
    },
  },
  operatorLate: habit(
    (person, seconds) => {
      person.lateSeconds = seconds
    },
    person => {
      person.lateSeconds = 0
    },
  ),
  operatorEarly: habit(
    (person, seconds) => {
      person.earlySeconds = seconds
    },
    person => {
      person.earlySeconds = NaN
    },
  ),
  poursTwice: {
    begin({ rig, strength }) {
      const { plant } = rig
      const { bath } = plant
      if (bath.phase !== 'full') return
      const millilitres = Math.min(
        bath.fullMillilitres * strength,
        plant.tank.standingMillilitres - bath.fullMillilitres,
      )
      if (millilitres <= 0) return
      pourMore(bath, millilitres, bath.pourCelsius + (strength > 0.35 ? 1 : -1) * SECOND_BOTTLE_CELSIUS)
      loadRollers(plant.rollers, plant.motor, bath.fullMillilitres)
    },
  },
  operatorForgets: habit(
    (person, seconds) => {
      person.forgetsSeconds = seconds
    },
    person => {
      person.forgetsSeconds = 0
    },
  ),
  wrongPour: {
    begin({ person, strength }) {
      person.pourOffCelsius = strength
    },
  },
  walksAway: habit(
    person => {
      person.away++
    },
    person => {
      person.away--
    },
  ),
}
