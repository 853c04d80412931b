// Steps back: what stood in the form before each change that was drawn.
const MOST = 100;

export class Past {
  constructor(form, button) {
    this.form = form;
    this.button = button;
    this.steps = [];
    this.now = this.snapshot();
  }

  snapshot() { return new Map([...this.form.elements].filter((each) => each.name && each.type !== "hidden" && each.type !== "checkbox").map((each) => [each.name, each.value])); }

  remember() {
    const now = this.snapshot();
    if ([...now].every(([name, value]) => this.now.get(name) === value)) return;
    this.steps.push(this.now);
    if (this.steps.length > MOST) this.steps.shift();
    this.now = now;
    this.button.disabled = false;
  }

  // One step; whether there was one.
  back() {
    this.remember(); // what was just changed is the first to go
    const before = this.steps.pop();
    if (!before) return false;
    for (const field of this.form.elements) {
      if (!this.now.has(field.name)) continue;
      if (before.has(field.name)) field.value = before.get(field.name);
      else if (/_(image|text)$/.test(field.name)) field.value = ""; // a part that was not there yet
    }
    this.now = this.snapshot();
    this.button.disabled = this.steps.length === 0;
    return true;
  }
}
