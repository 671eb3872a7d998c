import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { randomUUID } from 'node:crypto';

type Method = 'GET' | 'POST' | 'PUT' | 'PATCH';

/** Speaks to the API as one person, the way a browser would, without a network in between. */
export class DemoClient {
  private cookie = '';

  constructor(
    private readonly app: NestFastifyApplication,
    private readonly origin: string,
  ) {}

  get<T>(path: string): Promise<T> {
    return this.call<T>('GET', path);
  }

  post<T>(path: string, body: object = {}, ifMatch?: number): Promise<T> {
    return this.call<T>('POST', path, body, ifMatch);
  }

  put<T>(path: string, body: object, ifMatch?: number): Promise<T> {
    return this.call<T>('PUT', path, body, ifMatch);
  }

  patch<T>(path: string, body: object, ifMatch?: number): Promise<T> {
    return this.call<T>('PATCH', path, body, ifMatch);
  }

  private async call<T>(method: Method, path: string, body?: object, ifMatch?: number): Promise<T> {
    const response = await this.app.inject({
      method,
      url: `/api${path}`,
      headers: {
        origin: this.origin,
        ...(this.cookie ? { cookie: this.cookie } : {}),
        ...(body ? { 'content-type': 'application/json', 'idempotency-key': randomUUID() } : {}),
        ...(ifMatch === undefined ? {} : { 'if-match': `"${ifMatch}"` }),
      },
      ...(body ? { payload: body } : {}),
    });
    if (response.statusCode >= 400) {
      throw new Error(
        `The demo could not be loaded: ${method} ${path} answered ${response.statusCode} ${response.body}`,
      );
    }
    const set = response.headers['set-cookie'];
    const first = Array.isArray(set) ? set[0] : set;
    if (first) this.cookie = first.split(';')[0] ?? '';
    return (response.body ? JSON.parse(response.body) : undefined) as T;
  }
}
