import pg from 'pg';

type Query = (...parameters: unknown[]) => unknown;

/** A connection that sends a statement when the one before has been answered: Prisma reads relations side by side, even inside one transaction. */
export class OneAtATimeClient extends pg.Client {
  private before: Promise<unknown> = Promise.resolve();

  constructor(config?: string | pg.ClientConfig) {
    super(config);
    const query = this.query.bind(this) as Query;
    const inTurn: Query = (...parameters) => {
      if (typeof parameters.at(-1) === 'function') return query(...parameters);
      const answer = this.before.then(() => query(...parameters));
      this.before = answer.catch(() => undefined);
      return answer;
    };
    this.query = inTurn as typeof this.query;
  }
}
