/**
 * The place of the first character that cannot stand where it does in JSON (RFC 8259); the text's length where it breaks
 * off before its end, and null where it is JSON. Engines word this each in its own way, in English, and some leave the
 * place out. As deep a recursion as lists and objects stand in each other. O(text).
 */
export function firstFault(text: string): number | null {
  const reader = new Reader(text);
  return reader.isWhole() ? null : reader.at;
}

const NUMBER = /-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][+-]?\d+)?/y;
const HEX = /^[\da-f]{4}$/i;

/** Reads on as long as the text is JSON. Each step says whether it was, and leaves `at` behind it or at the fault. */
class Reader {
  at = 0;

  constructor(private readonly text: string) {}

  isWhole(): boolean {
    return this.value() && this.at === this.text.length;
  }

  private value(): boolean {
    this.blanks();
    if (!this.valueHere()) return false;
    this.blanks();
    return true;
  }

  private valueHere(): boolean {
    switch (this.text[this.at]) {
      case '{':
        return this.members('}', () => this.member());
      case '[':
        return this.members(']', () => this.value());
      case '"':
        return this.quoted();
      case 't':
        return this.word('true');
      case 'f':
        return this.word('false');
      case 'n':
        return this.word('null');
      default:
        return this.number();
    }
  }

  private members(end: string, member: () => boolean): boolean {
    this.at++;
    this.blanks();
    if (this.sign(end)) return true;
    while (member()) {
      if (this.sign(end)) return true;
      if (!this.sign(',')) return false;
    }
    return false;
  }

  private member(): boolean {
    this.blanks();
    if (this.text[this.at] !== '"' || !this.quoted()) return false;
    this.blanks();
    return this.sign(':') && this.value();
  }

  private quoted(): boolean {
    for (this.at++; this.at < this.text.length; this.at++) {
      const letter = this.text[this.at];
      if (letter === '"') return this.sign('"');
      if (letter < ' ') return false;
      if (letter === '\\' && !this.escaped()) return false;
    }
    return false;
  }

  /** What follows a backslash; ends at its last character. */
  private escaped(): boolean {
    const letter = this.text[++this.at];
    if (letter !== 'u') return letter !== undefined && '"\\/bfnrt'.includes(letter);
    if (!HEX.test(this.text.slice(this.at + 1, this.at + 5))) return false;
    this.at += 4;
    return true;
  }

  private word(word: string): boolean {
    if (this.text.startsWith(word, this.at)) {
      this.at += word.length;
      return true;
    }
    if (word.startsWith(this.text.slice(this.at))) this.at = this.text.length;
    return false;
  }

  private number(): boolean {
    NUMBER.lastIndex = this.at;
    const isNumber = NUMBER.test(this.text);
    if (isNumber) this.at = NUMBER.lastIndex;
    return isNumber;
  }

  private sign(sign: string): boolean {
    const isThere = this.text[this.at] === sign;
    if (isThere) this.at++;
    return isThere;
  }

  private blanks(): void {
    while (this.at < this.text.length && ' \t\n\r'.includes(this.text[this.at])) this.at++;
  }
}
