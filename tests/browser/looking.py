"""What the tests ask a page in the browser."""

# An element may stick out only inside a box that scrolls by itself.
OVERFLOWING = """() => [...document.querySelectorAll('body *')].filter(e => {
  if (e.closest('.box') && !e.matches('.box')) return false;
  const r = e.getBoundingClientRect();
  return r.width > 1 && r.height > 1 && (r.right > innerWidth + 1 || r.left < -1);
}).map(e => e.tagName + '.' + e.getAttribute('class') + ': ' + e.textContent.slice(0, 60))"""

SMALL_TEXT = """() => [...document.querySelectorAll('figure svg text')].map(e =>
  parseFloat(getComputedStyle(e).fontSize) * e.getScreenCTM().a)"""

# Of text in pictures, against the edge of its own picture: 1 px for rounding.
CUT_TEXT = """() => [...document.querySelectorAll('svg text')].filter(e => {
  const t = e.getBoundingClientRect(), s = e.ownerSVGElement.getBoundingClientRect();
  return t.width > 0 && (t.right > s.right + 1 || t.left < s.left - 1);
}).map(e => e.textContent)"""

HEADING_LEVELS = "[...document.querySelectorAll('h1,h2,h3,h4')].map(e => +e.tagName[1])"


def opened(browser, pages, name, width):
    """Return a page that has settled, with what it `said` and the addresses it `asked` for."""
    page = browser.new_page(viewport={"width": width, "height": 844})
    page.said, page.asked = [], []
    page.on("console", lambda message: page.said.append(message.text))
    page.on("pageerror", lambda error: page.said.append(str(error)))
    page.on("request", lambda request: page.asked.append(request.url))
    page.goto((pages / f"{name}.html").as_uri())
    page.wait_for_load_state("networkidle")
    return page
