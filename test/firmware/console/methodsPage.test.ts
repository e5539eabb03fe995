import { expect, test } from 'vitest'
import { methodsPage } from '../../../firmware/console/methodWords.ts'

test('the page of methods is the one that the table makes', async () => {
  await expect(methodsPage()).toMatchFileSnapshot('../../../firmware/console/METHODS.md')
})
