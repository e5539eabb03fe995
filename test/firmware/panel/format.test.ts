/** Figures as short texts. */
import { expect, test } from 'vitest'
import { breakAt, celsiusText, clockText, cut, percentText, rangeText } from '../../../firmware/panel/format.ts'

test('times are minutes and seconds of at most five characters', () => {
  expect([0, 5.4, 59.6, 195, 725, 5999, 6000, -3].map(clockText)).toEqual([
    '0:00',
    '0:05',
    '1:00',
    '3:15',
    '12:05',
    '99:59',
    '100m',
    '0:00',
  ])
  expect([NaN, Infinity, 1e12].map(clockText)).toEqual(['-:--', '9999m', '9999m'])
})

test('temperatures have a tenth and say when they are only believed', () => {
  expect(celsiusText(37.84, false)).toBe('37.8C')
  expect(celsiusText(37.84, true)).toBe('~37.8C')
  expect([NaN, 1e6, -40].map(celsius => celsiusText(celsius, false))).toEqual(['--C', '--C', '--C'])
})

test('a range is two figures, or one where both ends are near', () => {
  expect(rangeText(30, 39)).toBe('30-39C')
  expect(rangeText(37.7, 37.9)).toBe('37.8C')
  expect(rangeText(NaN, 20)).toBe('')
})

test('percents are whole', () => {
  expect([0, 0.826, 1, 2, -1, NaN].map(percentText)).toEqual(['0%', '83%', '100%', '100%', '--%', '--%'])
})

test('texts break after the last word that fits and are cut where there is none', () => {
  expect(breakAt('one two three', 8)).toBe(7)
  expect(breakAt('one two', 8)).toBe(7)
  expect(breakAt('onetwothree', 8)).toBe(8)
  expect(cut('abcdef', 4)).toBe('abcd')
})
