import type { BrowserContext, Page } from 'playwright-core';
import { loadPageMessages } from '../../src/catalogue/index.ts';
import { escapedWords, pseudo } from './pseudo.ts';

/** Whatever language the pages of a context choose, they get the messages of one that does not exist. */
export async function speakPseudo(context: BrowserContext): Promise<void> {
  const body = `export default ${JSON.stringify(pseudo(await loadPageMessages('en')))};`;
  await context.route(/\/assets\/(en|es)\.page-[\w-]+\.js$/, (route) =>
    route.fulfill({ contentType: 'text/javascript', body }),
  );
}

/** What a screen reader says beside the text of a page, and a list of choices over its groups. */
const SPOKEN = ['aria-label', 'aria-description', 'aria-valuetext', 'alt', 'title', 'placeholder', 'label'];

/** Words on a page, or in a part of it, that no message of the catalogue said, without those of `names`. */
export async function escapedOnPage(page: Page, names: readonly string[], part = 'body'): Promise<string[]> {
  const texts = await page.locator(part).evaluate((element, attributes) => {
    const quiet = document.createTreeWalker(element, NodeFilter.SHOW_TEXT, ({ parentElement }) =>
      parentElement?.closest('script, style, noscript') ? NodeFilter.FILTER_REJECT : NodeFilter.FILTER_ACCEPT,
    );
    const words: string[] = [];
    for (let node = quiet.nextNode(); node; node = quiet.nextNode()) words.push(node.textContent ?? '');
    const spoken = [...element.querySelectorAll('*')].flatMap((each) =>
      attributes.map((name) => each.getAttribute(name) ?? ''),
    );
    return [words.join(''), document.title, ...spoken];
  }, SPOKEN);
  return [...new Set(texts.flatMap((text) => escapedWords(text, names)))];
}
