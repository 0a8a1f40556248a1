#include <cctype>
#include <map>

#include "tests/checks/lint.h"

namespace leeward::checks {
namespace {

bool isWord(char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_'; }

/// The text with comments, literals and preprocessor lines blanked; line ends stay where they are.
class Blanker {
 public:
  explicit Blanker(std::string text) : text_(std::move(text)) {}
  std::string run() && {
    bool line_start = true;
    while (at_ < text_.size()) {
      const char c = text_[at_];
      if (c == '\n') {
        line_start = true;
        ++at_;
      } else if (line_start && c == '#') {
        blankLine();
      } else if (ahead("//")) {
        blankLine();
      } else if (ahead("/*")) {
        blankTo("*/");
      } else if (ahead("R\"")) {
        const std::size_t open = text_.find('(', at_);
        blankTo(")" + text_.substr(at_ + 2, open - at_ - 2) + "\"");
      } else if (c == '"' || (c == '\'' && (at_ == 0 || !isWord(text_[at_ - 1])))) {  // 1'000 is a number
        blankLiteral(c);
      } else {
        if (c != ' ' && c != '\t') line_start = false;
        ++at_;
      }
    }
    return std::move(text_);
  }

 private:
  bool ahead(std::string_view what) const { return std::string_view(text_).substr(at_).starts_with(what); }
  void blank(std::size_t end) {
    for (; at_ < std::min(end, text_.size()); ++at_) {
      if (text_[at_] != '\n') text_[at_] = ' ';
    }
  }
  void blankLine() {
    std::size_t end = text_.find('\n', at_);
    while (end != std::string::npos && text_[end - 1] == '\\') end = text_.find('\n', end + 1);
    blank(end);
  }
  void blankTo(const std::string& mark) {
    const std::size_t end = text_.find(mark, at_ + 2);
    blank(end == std::string::npos ? end : end + mark.size());
  }
  void blankLiteral(char quote) {
    std::size_t end = at_ + 1;
    while (end < text_.size() && text_[end] != quote && text_[end] != '\n') end += text_[end] == '\\' ? 2 : 1;
    blank(end + 1);
  }
  std::string text_;
  std::size_t at_ = 0;
};

struct Token {
  std::string_view text;
  std::size_t line;
};
std::vector<Token> tokensOf(std::string_view text) {
  std::vector<Token> tokens;
  std::size_t line = 1;
  for (std::size_t at = 0; at < text.size();) {
    std::size_t end = at + 1;
    if (isWord(text[at])) {
      while (end < text.size() && isWord(text[end])) ++end;
    } else if (text.substr(at).starts_with("::") || text.substr(at).starts_with("[[") || text.substr(at).starts_with("]]")) {
      ++end;
    }
    if (text[at] == '\n') ++line;
    if (!std::isspace(static_cast<unsigned char>(text[at]))) tokens.push_back({text.substr(at, end - at), line});
    at = end;
  }
  return tokens;
}

struct Definition {
  std::string name;  ///< with its namespaces
  std::size_t line;
};

/// Walks a file's tokens and keeps the types whose braces open at namespace scope.
class Walker {
 public:
  explicit Walker(const std::vector<Token>& tokens) : tokens_(tokens) {}
  std::vector<Definition> run() {
    while (at_ < tokens_.size()) {
      const std::string_view word = tokens_[at_].text;
      if (word == "namespace") enterNamespace();
      else if (word == "template") ++at_, skipAngles();
      else if ((word == "struct" || word == "class" || word == "union" || word == "enum") && inNamespacesOnly()) readType();
      else if (word == "{") ++at_, scopes_.push_back({"", false});
      else if (word == "}") ++at_, leave();
      else ++at_;
    }
    return std::move(found_);
  }

 private:
  struct Scope {
    std::string name;  ///< "" of an unnamed namespace
    bool is_namespace;
  };
  std::string_view peek(std::size_t ahead = 0) const { return at_ + ahead < tokens_.size() ? tokens_[at_ + ahead].text : std::string_view(); }
  void leave() {
    if (!scopes_.empty()) scopes_.pop_back();
  }
  bool inNamespacesOnly() const {
    for (const auto& scope : scopes_) {
      if (!scope.is_namespace || scope.name.empty()) return false;
    }
    return true;
  }
  void enterNamespace() {
    std::string name;
    for (++at_; at_ < tokens_.size() && peek() != "{" && peek() != ";" && peek() != "="; ++at_) name += peek();
    if (peek() != "{") return;
    ++at_;
    scopes_.push_back({std::move(name), true});
  }
  /// Over "<...>" if it stands here; its text.
  std::string skipAngles() {
    std::string text;
    if (peek() != "<") return text;
    int depth = 0;
    do {
      if (peek() == "<") ++depth;
      if (peek() == ">") --depth;
      text += peek();
      ++at_;
    } while (depth > 0 && at_ < tokens_.size());
    return text;
  }
  void readType() {
    const std::size_t line = tokens_[at_].line;
    ++at_;
    if (peek() == "class" || peek() == "struct") ++at_;
    if (peek() == "[[") {
      while (at_ < tokens_.size() && peek() != "]]") ++at_;
      ++at_;
    }
    std::string name;
    while (!peek().empty() && (isWord(peek()[0]) || peek() == "::" || peek() == "<") && peek() != "final") {
      if (!name.empty() && isWord(name.back()) && isWord(peek()[0])) return;  // "struct A b": a variable or a function
      name += peek() == "<" ? skipAngles() : std::string(tokens_[at_++].text);
    }
    if (peek() == "final") ++at_;
    if (name.empty() || (peek() != "{" && peek() != ":")) return;
    while (at_ < tokens_.size() && peek() != "{" && peek() != ";") ++at_;
    if (peek() != "{") return;  // an enum declared ahead
    std::string whole;
    for (const auto& scope : scopes_) whole += scope.name + "::";
    found_.push_back({whole + name, line});
  }
  const std::vector<Token>& tokens_;
  std::size_t at_ = 0;
  std::vector<Scope> scopes_;
  std::vector<Definition> found_;
};

/// Of a file under tests/ its folder, of any other "": what may be linked together.
std::string programOf(const std::string& path) { return path.starts_with("tests/") ? path.substr(0, path.rfind('/')) : ""; }

}  // namespace

std::vector<Fault> typeFaults(const std::vector<Source>& sources) {
  struct Place {
    std::string file;
    std::size_t line;
  };
  std::map<std::string, std::vector<Place>> places;
  std::vector<Fault> faults;
  for (const Source& source : sources) {
    const std::string text = Blanker(source.text).run();
    for (const Definition& definition : Walker(tokensOf(text)).run()) {
      auto& known = places[definition.name];
      for (const Place& place : known) {
        const std::string here = programOf(source.path);
        const std::string there = programOf(place.file);
        const bool together = here == there || here.empty() || there.empty();
        if (!together || place.file == source.path) continue;  // twice in one file: by #if, or the compiler says so
        faults.push_back({source.path, definition.line,
                          "type " + definition.name + " is defined in " + place.file + ":" + std::to_string(place.line) + " too"});
      }
      known.push_back({source.path, definition.line});
    }
  }
  return faults;
}

}  // namespace leeward::checks
