#pragma once
/// The items of a condition check by keys alone: arrows walk, M met, U unmet, N not seen, A all that is not said is met.
#include <QTableWidget>
#include <string>
#include <utility>
#include <vector>

namespace leeward::window {

class CheckGrid : public QTableWidget {
  Q_OBJECT

 public:
  explicit CheckGrid(QWidget* parent = nullptr);
  /// Fields (house, left_house ...) with what was said; items of which nothing was said are left out.
  std::vector<std::pair<std::string, std::string>> said() const;
  void forget();

 protected:
  void keyPressEvent(QKeyEvent* event) override;

 private:
  void set(int row, int column, const QString& state);
};

}  // namespace leeward::window
