/**
 * The tank checker: the key table of a tank file, and what its measures ask of each other. Like the recipe checker it
 * takes any value, never throws and lists every problem at once.
 */
import { checkSpec } from '../recipe/fieldCheck.ts'
import { number, type ObjectSpec, required, text, whole } from '../recipe/fields.ts'
import { asFields, type Fields, ownNumber } from '../recipe/ownKeys.ts'
import { createProblems, listProblems, type Problem, type Problems, refuse, warn } from '../recipe/problem.ts'
import { provenanceFields } from '../recipe/recipeFields.ts'

/** Ranges reach from a one-reel tank for 16 mm film to a drum for large sheets. */
export const tankSpec: ObjectSpec = {
  type: 'object',
  fields: [
    required('name', text(1, 24), 'what the tank is called'),
    required('innerDiameterMillimetres', number(30, 400, 'mm'), 'inside, across'),
    required('innerLengthMillimetres', number(30, 1000, 'mm'), 'inside, between the flat ends'),
    required('coreDiameterMillimetres', number(0, 200, 'mm'), 'outside of the centre column; 0 for none'),
    required('reels', whole(1, 16, ''), 'how many reels fit'),
    required('filmInnerDiameterMillimetres', number(5, 390, 'mm'), 'innermost turn of film on a reel'),
    required('filmOuterDiameterMillimetres', number(10, 395, 'mm'), 'outermost turn of film on a reel'),
    required('filmWidthMillimetres', number(8, 310, 'mm'), 'width of the film'),
    required('reelMillilitres', number(0, 1000, 'mL'), 'what one reel displaces'),
    required('standingMillilitres', number(20, 50000, 'mL'), 'what covers all reels when the tank stands'),
    required('heatJoulesPerKelvin', number(5, 20000, 'J/K'), 'heat that wall, core, reels and film take'),
    required('heatSpread', number(0, 1, ''), 'how well that is known: one sigma, as a fraction'),
    required('residueMillilitres', number(0, 500, 'mL'), 'what stays behind after the drain'),
  ].concat(provenanceFields()),
}

/** Every problem of `value` as a tank file. */
export function checkTank(value: unknown): Problem[] {
  const problems = createProblems()
  checkSpec(problems, tankSpec, value, '', 'a tank')
  const fields = asFields(value)
  if (fields !== undefined) checkMeasures(problems, fields)
  return listProblems(problems)
}

/** Comparisons with a measure that is missing or no number are false, and so pass it over. */
function checkMeasures(problems: Problems, fields: Fields): void {
  larger(problems, fields, 'filmInnerDiameterMillimetres', 'coreDiameterMillimetres', 'mm')
  larger(problems, fields, 'filmOuterDiameterMillimetres', 'filmInnerDiameterMillimetres', 'mm')
  larger(problems, fields, 'innerDiameterMillimetres', 'filmOuterDiameterMillimetres', 'mm')
  const length = ownNumber(fields, 'innerLengthMillimetres')
  const reels = ownNumber(fields, 'reels')
  const stackMillimetres = reels * ownNumber(fields, 'filmWidthMillimetres')
  if (stackMillimetres > length) {
    const found = reels + ' reels with ' + stackMillimetres + ' mm of film'
    refuse(problems, 'relation', 'reels', found, 'no more than fits into the length, ' + length + ' mm', '')
  }
  const sectionSquareMillimetres =
    (Math.PI / 4) *
    (square(ownNumber(fields, 'innerDiameterMillimetres')) - square(ownNumber(fields, 'coreDiameterMillimetres')))
  const reelMillilitres = reels * ownNumber(fields, 'reelMillilitres')
  const holds = (sectionSquareMillimetres * length) / 1000 - reelMillilitres
  const coversReels = (sectionSquareMillimetres * stackMillimetres) / 1000 - reelMillilitres
  const standing = ownNumber(fields, 'standingMillilitres')
  if (standing > holds) {
    const allowed = 'no more than the tank holds with its reels, ' + Math.round(holds) + ' mL'
    refuse(problems, 'relation', 'standingMillilitres', standing + ' mL', allowed, '')
  } else if (standing < coversReels) {
    const allowed = 'at least what covers the film of all reels, ' + Math.round(coversReels) + ' mL'
    warn(problems, 'standingMillilitres', standing + ' mL', allowed, '')
  }
}

function larger(problems: Problems, fields: Fields, key: string, than: string, unit: string): void {
  const value = ownNumber(fields, key)
  const bound = ownNumber(fields, than)
  if (value <= bound) {
    refuse(problems, 'relation', key, value + ' ' + unit, 'more than ' + than + ', ' + bound + ' ' + unit, '')
  }
}

function square(value: number): number {
  return value * value
}
