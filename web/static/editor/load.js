/** A load as a card: what it is, what it does in a sentence, its day, its variants. */

import { arrange } from "/static/arrange.js";
import { make, write } from "/static/dom.js";
import { Drawer } from "/static/editor/drawer.js";
import { formPart } from "/static/editor/parts.js";
import { Spans } from "/static/editor/spans.js";
import { WORDS } from "/static/words/editor.js";

/** A list of tables, whatever a text that is being typed has in its place. */
const listed = (value) => (Array.isArray(value) ? value : []).map((one) => Object(one));

/** What of a load's or a variant's preview is of the pieces that the plan has now. */
function toldOf(spans, told, isNewest) {
  if (isNewest) return told;
  return told.filter(({ place, from, cycle }) => spans[place]?.from === from || spans[place]?.cycle === cycle);
}

export class LoadCard {
  constructor(desk, name) {
    Object.assign(this, { desk, name });
    this.at = `loads.${name}`;
    this.about = make("span", "card-about");
    this.sentence = make("p", "sentence");
    this.spans = new Spans(desk, name);
    this.variantHome = make("div", "variants");
    this.variants = [];
    this.newVariant = new Drawer(WORDS.addVariant, async () => {
      const { NewVariant } = await formPart("new_variant");
      return new NewVariant(desk, name, () => this.newVariant.close());
    }, { name: WORDS.addVariantName(name), opened: desk.settle });
    this.settings = new Drawer(WORDS.settings, async () => {
      const { LoadSettings } = await formPart("load_settings");
      return new LoadSettings(desk, name);
    }, { name: WORDS.settingsName(name), opened: desk.settle });
    this.element = make(
      "li", "panel card",
      make("div", "card-head", make("h3", "", name), this.about),
      this.sentence, desk.places.home(this.at), this.spans.element, this.variantHome,
      make("div", "drawers", this.newVariant.element, this.settings.element),
    );
    this.element.dataset.load = name;
  }

  /** `load` as the plan has it; `told` of the preview's next day, or undefined. */
  draw(load, told) {
    const spans = listed(load.spans);
    const kind = WORDS.kinds[load.kind] ?? String(load.kind);
    write(this.about, kind === this.name ? WORDS.aboutShort(load.line ?? "?") : WORDS.about(kind, load.line ?? "?"));
    this.spans.draw({
      at: `${this.at}.spans`, spans, load: this.name, without: load.without_clock, on: told?.on ?? null,
      told: toldOf(spans, told?.spans ?? [], this.desk.isNewest),
    });
    write(this.sentence, this.sentenceOf());
    this.drawVariants(listed(load.variants), load, told);
    this.newVariant.draw(load);
    this.settings.draw(load);
  }

  /** Opens its settings and leads there. */
  enter() {
    this.settings.title.focus();
    this.settings.open();
  }

  sentenceOf() {
    const pieces = this.spans.ordered;
    if (!pieces.length) return "";
    if (pieces.length === 1) return WORDS.sentence([WORDS.allDay(WORDS.cycle(pieces[0].cycle))]);
    return WORDS.sentence(pieces.map((piece) => {
      const when = (piece.anchor && WORDS.tie(piece.anchor)) || this.spans.when(piece);
      return WORDS.from(WORDS.cycle(piece.cycle), when);
    }));
  }

  drawVariants(variants, load, told) {
    while (this.variants.length < variants.length) {
      this.variants.push(new VariantPart(this.desk, this.name, this.variants.length));
    }
    this.variants.length = variants.length;
    arrange(this.variantHome, this.variants.map(({ element }) => element));
    this.variants.forEach((part, number) => part.draw(variants[number], load, told?.variants?.[number]));
  }
}

/** One variant: its condition in words, and its own day. */
class VariantPart {
  constructor(desk, load, number) {
    Object.assign(this, { desk, load, number });
    this.at = `loads.${load}.variants.${number}`;
    this.title = make("h4");
    this.condition = make("p", "hint");
    this.spansHome = make("div");
    this.change = new Drawer(WORDS.change, async () => {
      const { VariantSettings } = await formPart("variant_settings");
      return new VariantSettings(desk, load, number);
    }, { opened: desk.settle });
    this.element = make(
      "section", "variant", this.title, this.condition, desk.places.home(this.at), this.spansHome, this.change.element,
    );
  }

  draw(variant, load, told) {
    const spans = listed(variant.spans);
    const name = `${this.load}, ${variant.name}`;
    if (this.spans?.name !== name) {
      this.spans = new Spans(this.desk, name);
      this.spansHome.replaceChildren(this.spans.element);
      this.change.title.setAttribute("aria-label", WORDS.changeName(variant.name));
    }
    write(this.title, WORDS.variant(variant.name));
    const sensor = this.desk.draft.document.sensors?.[variant.sensor];
    write(this.condition, variant.by_hand ? WORDS.byHand : WORDS.condition(variant, WORDS.sign(sensor?.measures)));
    this.spans.draw({
      at: `${this.at}.spans`, spans, load: this.load, without: load.without_clock, on: null,
      told: toldOf(spans, told?.spans ?? [], this.desk.isNewest),
    });
    this.change.draw(variant, load);
  }
}
