// A rule of our own for packages/calc: no step of a computation may leave the exact numbers. It needs types, since `/` on bigints is exact and on
// numbers is not.
import ts from 'typescript';

/** @type {import('eslint').Rule.RuleModule} */
export const exactNumbers = {
  meta: {
    type: 'problem',
    schema: [],
    messages: {
      division:
        'Dividing numbers gives a float; divide bigints, use Rational, or take Math.floor of the quotient at once.',
      fromText: 'Number() of text may give a float; read it with rational().',
      literal: 'A number with a fraction is a float; write it as text and read it with rational().',
    },
  },
  create(context) {
    const services = context.sourceCode.parserServices;
    /** @param {any} node */
    const isNumber = (node) => (services.getTypeAtLocation(node).flags & ts.TypeFlags.NumberLike) !== 0;
    /** @param {any} node */
    const isWhole = (node) =>
      (services.getTypeAtLocation(node).flags & (ts.TypeFlags.BigIntLike | ts.TypeFlags.BooleanLike)) !== 0;
    /** A quotient of small whole numbers, such as days in a year, that is made whole where it stands. @param {any} node */
    const isMadeWhole = ({ parent }) =>
      parent.type === 'CallExpression' &&
      parent.callee.object?.name === 'Math' &&
      ['floor', 'ceil', 'trunc'].includes(parent.callee.property?.name);
    return {
      BinaryExpression(node) {
        if (['/', '**'].includes(node.operator) && isNumber(node.left) && !isMadeWhole(node)) {
          context.report({ node, messageId: 'division' });
        }
      },
      AssignmentExpression(node) {
        if (['/=', '**='].includes(node.operator) && isNumber(node.left))
          context.report({ node, messageId: 'division' });
      },
      CallExpression(node) {
        const [argument] = node.arguments;
        if (node.callee.type === 'Identifier' && node.callee.name === 'Number' && argument && !isWhole(argument)) {
          context.report({ node, messageId: 'fromText' });
        }
      },
      Literal(node) {
        if (typeof node.value === 'number' && !Number.isInteger(node.value))
          context.report({ node, messageId: 'literal' });
      },
    };
  },
};
