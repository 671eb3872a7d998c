import { Injectable, type INestApplication } from '@nestjs/common';
import type { OpenAPIObject } from '@nestjs/swagger';
import { buildDocument } from './document.ts';

/** Makes the document when it is first asked for, out of the application that answers. */
@Injectable()
export class OpenApiSource {
  private app: INestApplication | undefined;
  private made: OpenAPIObject | undefined;

  attach(app: INestApplication): void {
    this.app = app;
  }

  document(): OpenAPIObject {
    if (!this.app) throw new Error('no application is attached');
    this.made ??= buildDocument(this.app);
    return this.made;
  }
}
