/** Numbers of the command line, above all those written with a comma for the point. */
import { expect, test } from 'vitest'
import { numberFrom, numbersFrom } from '../../../sim/bench/options.ts'

const pour = numbersFrom(0, 60, ' C')
const room = numberFrom(0, 45, ' C')

test('numbers with a point are read, one or one for each bath', () => {
  expect(room(' 17.5')).toBe(17.5)
  expect(pour('38.5')).toEqual([38.5])
  expect(pour('38,20,20.5')).toEqual([38, 20, 20.5])
  expect(pour('20,5.0')).toEqual([20, 5])
})

test('a number with a decimal comma is refused with the point put in', () => {
  expect(() => room('17,5')).toThrow('0 to 45 C (decimals take a point: 17.5)')
  expect(() => room('x')).not.toThrow('point')
  for (const text of ['20,5', '20,0', '38,38,5', '20, 5', '20,05']) {
    expect(() => pour(text), text).toThrow(/decimals take a point: (20|38)\.0?[05]/)
  }
})
