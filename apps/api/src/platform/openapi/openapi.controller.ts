import { Controller, Get, Header } from '@nestjs/common';
import { ApiExcludeController, type OpenAPIObject } from '@nestjs/swagger';
import { Public } from '../auth/decorators.ts';
import { OpenApiSource } from './openapi-source.ts';
import { readingPage, readingPageStyle } from './reading-page.ts';

/** The document of the API, as data and as a page. */
@ApiExcludeController()
@Controller()
export class OpenApiController {
  constructor(private readonly source: OpenApiSource) {}

  @Public()
  @Get('openapi.json')
  document(): OpenAPIObject {
    return this.source.document();
  }

  @Public()
  @Get('docs')
  @Header('Content-Type', 'text/html; charset=utf-8')
  page(): string {
    return readingPage(this.source.document());
  }

  @Public()
  @Get('docs.css')
  @Header('Content-Type', 'text/css; charset=utf-8')
  style(): string {
    return readingPageStyle;
  }
}
