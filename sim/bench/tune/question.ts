/**
 * What is asked of a tuning, from the options of the command: which bath, how long, how much liquid, which programmes.
 *
 * What can never work is refused here with `InputError`, before anything is simulated: a bath that is not there, a volume
 * that does not reach the film, a bath over before the tank turns, speeds between which there is none.
 */
import { nearest } from '../../../firmware/recipe/nearest.ts'
import type { Agitation, Bath, Recipe } from '../../../firmware/recipe/recipe.ts'
import { liquidLevelMillimetres } from '../../../firmware/tank/geometry.ts'
import type { Tank } from '../../../firmware/tank/tank.ts'
import { chemistryMillilitres, mostLyingMillilitres, wettingMillilitres } from '../../../firmware/tank/volume.ts'
import { InputError } from '../inputError.ts'
import type { CommonOptions, Loadout } from '../options.ts'
import { planSession } from '../plan.ts'
import { innerRadiusMillimetres, type TuneSetup } from './setup.ts'
import { PUBLISHED_RPM, type TuneSpace, tuneSpace } from './space.ts'
import { type AskedWishes, DEFAULT_ONE_WAY_SECONDS, type Wish, wishesFor } from './wishes.ts'

export interface QuestionOptions extends CommonOptions, AskedWishes {
  seed: number
  room: number
  films: number
  load?: number
  charge?: number
  bath?: string
  seconds?: number
  volume?: number
  leastRpm?: number
  mostRpm?: number
}

export interface Question {
  recipe: Recipe
  bath: Bath
  /** The bath's own programme as it stands. */
  agitation: Agitation
  /** From first contact to the end of the drain. */
  seconds: number
  setup: TuneSetup
  space: TuneSpace
  wishes: Wish[]
}

/** A pack that is nearly full, or two thirds empty: a programme has to work with either. Assumed. */
const USUAL_CHARGE: [number, number] = [0.3, 0.95]
/** A developer 1 C off its plan takes about a tenth longer or shorter (colour: 480 s at 30 C, 195 at 37.8). */
const DEVELOPED_SPREAD = 0.1
/** A bath by time ends when a hand gets to the button. Assumed. */
const TIMED_SPREAD = 0.02
/** In less no tank can be turned evenly. Assumed. */
const LEAST_TURNING_SECONDS = 5

/** Throws `InputError`; `warn` hears what is doubtful. */
export function questionFrom(options: QuestionOptions, loadout: Loadout, warn: (line: string) => void): Question {
  const { recipe, tank, base } = loadout
  const index = bathIndexOf(recipe, options.bath)
  const bath = recipe.baths[index] as Bath
  const agitation = recipe.agitations[bath.agitation] as Agitation
  const films = options.load ?? tank.reels
  const plan = planSession(recipe, tank, base, { films, filmsThrough: options.films, roomCelsius: options.room })
  const millilitres = options.volume ?? plan.advisedMillilitres
  if (options.volume !== undefined) {
    checkVolume(tank, options.volume, chemistryMillilitres(recipe, index, films), bath.name, warn)
  }
  const seconds = options.seconds ?? (plan.baths[index]?.seconds as number)
  const { fillSeconds, drainSeconds } = recipe.pour
  const turningSeconds = Math.round((seconds - fillSeconds - drainSeconds) * 10) / 10
  if (!(turningSeconds >= LEAST_TURNING_SECONDS)) {
    throw new InputError([
      `${options.seconds === undefined ? bath.name : '--seconds'}: ${seconds} s; filling and draining take ` +
        `${fillSeconds + drainSeconds} s of it; allowed: at least ${fillSeconds + drainSeconds + LEAST_TURNING_SECONDS} s`,
    ])
  }
  const develops = bath.kind === 'developed'
  const space = tuneSpace(base, agitation, develops, {
    oneWaySeconds: options.oneWay ?? DEFAULT_ONE_WAY_SECONDS,
    ...(options.leastRpm !== undefined && { leastRpm: options.leastRpm }),
    ...(options.mostRpm !== undefined && { mostRpm: options.mostRpm }),
  })
  checkSpeeds(options, space, base.drive.mostRpm, agitation, develops, base.drive.leastRpm)
  const charge =
    options.charge === undefined ? USUAL_CHARGE : ([options.charge / 100, options.charge / 100] as [number, number])
  const setup: TuneSetup = {
    base,
    tank,
    millilitres,
    turningSeconds,
    secondsSpread: develops ? DEVELOPED_SPREAD : TIMED_SPREAD,
    roomCelsius: options.room,
    charge,
    seed: options.seed,
  }
  return { recipe, bath, agitation, seconds, setup, space, wishes: wishesFor(options, base) }
}

function bathIndexOf(recipe: Recipe, name: string | undefined): number {
  const names = recipe.baths.map(bath => bath.name)
  if (name === undefined) {
    return Math.max(
      0,
      recipe.baths.findIndex(bath => bath.kind === 'developed'),
    )
  }
  const index = names.indexOf(name)
  if (index >= 0) return index
  const near = nearest(name, names)
  const hint = near === '' ? '' : `; did you mean ${near}?`
  throw new InputError([`--bath: ${name} is no bath of ${recipe.name}; allowed: ${names.join(', ')}${hint}`])
}

function checkVolume(
  tank: Tank,
  millilitres: number,
  chemistry: number,
  bathName: string,
  warn: (line: string) => void,
): void {
  const most = mostLyingMillilitres(tank)
  const wetting = Math.ceil(wettingMillilitres(tank))
  const dryMillimetres = -innerRadiusMillimetres(tank) - liquidLevelMillimetres(tank, millilitres)
  if (millilitres > most) {
    throw new InputError([
      `--volume: ${millilitres} mL; allowed: at most ${Math.floor(most)} mL, what the tank holds lying`,
    ])
  }
  if (dryMillimetres >= 0) {
    throw new InputError([
      `--volume: ${millilitres} mL stay ${dryMillimetres.toFixed(1)} mm below the innermost turn of film, which no turning ` +
        `wets; allowed: at least ${wetting} mL`,
    ])
  }
  if (millilitres < wetting) {
    warn(`--volume: ${millilitres} mL only just lick the innermost turn of film; ${wetting} mL wet it safely`)
  }
  if (millilitres < chemistry) {
    warn(
      `--volume: ${millilitres} mL; the chemistry of the ${bathName} needs ${Math.ceil(chemistry)} mL for these films`,
    )
  }
}

function checkSpeeds(
  options: QuestionOptions,
  space: TuneSpace,
  baseMostRpm: number,
  agitation: Agitation,
  develops: boolean,
  baseLeastRpm: number,
): void {
  const [least, most] = space.rpm
  if (least <= most) return
  const lower = [`the base turns evenly from ${baseLeastRpm} rpm`]
  if (agitation.leastRpm !== undefined) lower.push(`the recipe's leastRpm is ${agitation.leastRpm} rpm`)
  if (options.leastRpm !== undefined) lower.push(`--least-rpm is ${options.leastRpm}`)
  else if (develops)
    lower.push(`drums that change direction ask for more than ${PUBLISHED_RPM} rpm, unless --least-rpm says otherwise`)
  const upper = [`the base turns at ${baseMostRpm} rpm at most`]
  if (options.mostRpm !== undefined) upper.push(`--most-rpm is ${options.mostRpm}`)
  throw new InputError([
    `no speed is left to try: at least ${least} rpm (${lower.join('; ')}), at most ${most} rpm (${upper.join('; ')})`,
  ])
}
