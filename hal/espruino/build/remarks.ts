/**
 * Leaves out of a bundle what is written for readers of the sources: the `note` and `source` of recipes that ship and of the
 * default base and tank. The board shows neither; its console gives a shipped recipe without them.
 */
import ts from 'typescript'

const FILES = /^firmware\/(recipe\/shipped\/.*|defaultBase|tank\/defaultTank)\.ts$/
const REMARKS = ['note', 'source']

/** The compiler's transformers for a file, by its path from the project's top. */
export function withoutRemarks(file: string): ts.CustomTransformers {
  return FILES.test(file.replaceAll('\\', '/')) ? { before: [leaveOut] } : {}
}

function leaveOut(context: ts.TransformationContext): ts.Transformer<ts.SourceFile> {
  const visit = (node: ts.Node): ts.Node | undefined =>
    isRemark(node) ? undefined : ts.visitEachChild(node, visit, context)
  return source => ts.visitEachChild(source, visit, context)
}

function isRemark(node: ts.Node): boolean {
  return ts.isPropertyAssignment(node) && ts.isIdentifier(node.name) && REMARKS.includes(node.name.text)
}
