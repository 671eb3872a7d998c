import { describe, expect, it } from '@jest/globals';
import { problemFrom } from './problem.ts';

describe('problemFrom', () => {
  it('reads a problem document with its pointers and values', () => {
    const problem = problemFrom(422, {
      type: 'about:blank',
      title: 'Unprocessable',
      status: 422,
      detail: 'Two lines are wrong.',
      code: 'invalid-input',
      errors: [
        { pointer: '#/lines/0/priceMinor', detail: 'must be text' },
        { pointer: '/name', detail: 'too short', code: 'too-short' },
        { pointer: '#/c%25d', detail: 'odd' },
      ],
      params: { number: 14, holder: 'Haddou' },
    });
    expect(problem).toMatchObject({ status: 422, code: 'invalid-input', detail: 'Two lines are wrong.' });
    expect(problem.errors.map((error) => error.pointer)).toEqual(['/lines/0/priceMinor', '/name', '/c%d']);
    expect(problem.params).toEqual({ number: 14, holder: 'Haddou' });
  });

  it.each([undefined, null, '<html>Bad gateway</html>', { errors: 'no list' }, 42])(
    'makes a problem of the status alone from %j',
    (body) => {
      expect(problemFrom(502, body)).toMatchObject({ status: 502, code: 'http-502', errors: [], params: {} });
    },
  );
});
